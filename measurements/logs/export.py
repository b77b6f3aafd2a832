"""A log as it was read, for other programs: CSV with the unit in the header, Parquet with the unit beside each column. Pure."""

import io
from collections.abc import Mapping

import pandas as pd
import pyarrow as pa
from pyarrow import csv as arrow_csv
from pyarrow import parquet

from measurements.logs.parsing.names import CHANNELS
from sizing.tables.csv_io import safe_cell


def header_of(slug: str) -> str:
    """Name and stored unit of a channel, as the import would understand it again.

    >>> header_of("boost_kpa")
    'Boost, gauge [kPa]'
    """
    return f"{CHANNELS[slug].label} [{CHANNELS[slug].unit}]"


def _safe(cells: pa.Array) -> pa.Array:
    """What a spreadsheet would run goes out behind an apostrophe; every other cell stays as it is, dashes for 'no reading' too."""
    packed = cells.dictionary_encode()
    texts = [safe_cell(text) if text.strip("-") else text for text in packed.dictionary.to_pylist()]
    return pa.DictionaryArray.from_arrays(packed.indices, pa.array(texts, pa.string())).cast(pa.string())


def as_csv(table: pd.DataFrame, raw: Mapping[str, pa.Array] | None = None) -> io.BytesIO:
    """Figures in stored units, an empty cell where nothing was logged; behind them `raw` columns as in the file."""
    out = io.BytesIO()
    plain = pa.Table.from_pandas(table, preserve_index=False).rename_columns(
        [safe_cell(header_of(name)) for name in table.columns]
    )
    for name, cells in (raw or {}).items():
        plain = plain.append_column(safe_cell(name), _safe(cells))
    arrow_csv.write_csv(plain, out)
    out.seek(0)
    return out


def as_parquet(
    table: pd.DataFrame,
    logged_as: Mapping[str, str],
    about: Mapping[str, str],
    raw: Mapping[str, pa.Array] | None = None,
) -> io.BytesIO:
    """The same with unit, label and the name in the file as metadata of each column, and where it came from as that of the whole.

    `raw` columns are text, each cell as in the file, and say so in their metadata.
    """
    plain = pa.Table.from_pandas(table, preserve_index=False)
    fields = [
        field.with_metadata(
            {
                "unit": CHANNELS[field.name].unit,
                "label": CHANNELS[field.name].label,
                "logged_as": logged_as.get(field.name, ""),
            }
        )
        for field in plain.schema
    ]
    plain = plain.cast(pa.schema(fields, metadata={k: v for k, v in about.items() if v}))
    for name, cells in (raw or {}).items():
        plain = plain.append_column(
            pa.field(name, pa.string(), metadata={"raw": "as in the file, not matched, no unit known"}), cells
        )
    out = io.BytesIO()
    parquet.write_table(plain, out)
    out.seek(0)
    return out
