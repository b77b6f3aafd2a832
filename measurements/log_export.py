"""A log as it was read, for other programs: CSV with the unit in the header, Parquet with the unit beside each column. Pure."""

import io
from collections.abc import Mapping

import pandas as pd
import pyarrow as pa
from pyarrow import csv as arrow_csv
from pyarrow import parquet

from sizing.csv_io import safe_cell

from .log_names import CHANNELS


def header_of(slug: str) -> str:
    """Name and stored unit of a channel, as the import would understand it again.

    >>> header_of("boost_kpa")
    'Boost, gauge [kPa]'
    """
    return f"{CHANNELS[slug].label} [{CHANNELS[slug].unit}]"


def as_csv(table: pd.DataFrame) -> io.BytesIO:
    """Figures in stored units, an empty cell where nothing was logged."""
    out = io.BytesIO()
    plain = pa.Table.from_pandas(table, preserve_index=False)
    arrow_csv.write_csv(plain.rename_columns([safe_cell(header_of(name)) for name in table.columns]), out)
    out.seek(0)
    return out


def as_parquet(table: pd.DataFrame, logged_as: Mapping[str, str], about: Mapping[str, str]) -> io.BytesIO:
    """The same with unit, label and the name in the file as metadata of each column, and where it came from as that of the whole."""
    plain = pa.Table.from_pandas(table, preserve_index=False)
    fields = [
        field.with_metadata({"unit": CHANNELS[field.name].unit, "label": CHANNELS[field.name].label, "logged_as": logged_as.get(field.name, "")})
        for field in plain.schema
    ]
    out = io.BytesIO()
    parquet.write_table(plain.cast(pa.schema(fields, metadata={k: v for k, v in about.items() if v})), out)
    out.seek(0)
    return out
