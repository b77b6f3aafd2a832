"""Reading a matched log. Figures are checked against pandas' own reader; conversions against NIST SP 811."""

import io
import itertools

import numpy as np
import pandas as pd
import pytest

from measurements.logs.parsing.checks import lonely_spikes
from measurements.logs.parsing.dialect import find_dialect
from measurements.logs.parsing.file import read_columns
from measurements.logs.parsing.names import guess
from measurements.logs.plots import thinned
from sizing.physics.air import standard_pressure_kpa
from sizing.tables.refused import FileRefused
from tests.measurements.logs.log_files import NO_TIME, UNCLOSED, pull_log


def read(data: bytes, mapping=None):
    dialect = find_dialect(data)
    return read_columns(
        data,
        dialect,
        mapping or {i: guess(h, dialect.units[i] if dialect.units else "") for i, h in enumerate(dialect.header)},
    )


def test_values_are_those_of_another_reader():
    data = pull_log()
    other = pd.read_csv(io.BytesIO(data))
    log = read(data)
    assert log.row_count == len(other)
    np.testing.assert_allclose(log.table["boost_kpa"], other["boost_kPa"])
    np.testing.assert_allclose(log.table["speed_rpm"], other["engine_speed_rpm"])


def test_units_become_stored_ones():
    """1 psi = 6.894757 kPa, 212 °F = 100 °C (NIST SP 811)."""
    log = read(b"time [ms],rpm,boost [psi],egt [F]\n0,900,10,212\n500,910,0,32\n")
    assert log.table["boost_kpa"].tolist() == pytest.approx([68.94757, 0.0], abs=1e-4)
    assert log.table["exhaust_temperature_c"].tolist() == pytest.approx([100.0, 0.0], abs=1e-9)
    assert log.table["time_s"].tolist() == [0.0, 0.5]


def test_decimal_comma_and_single_byte_encoding():
    log = read("Zeit;Drehzahl;Boost\n[s];[1/min];[bar]\n0,5;900,5;0,25\n1,0;905;0,3\n".encode("cp1252"))
    assert log.table["speed_rpm"].tolist() == [900.5, 905.0]
    assert log.table["boost_kpa"].tolist() == pytest.approx([25.0, 30.0])


def test_a_clock_of_the_day():
    log = read(
        b"time,rpm,boost_kPa\n10:00:01.5,900,1\n10:00:02.0,905,2\n10:01:00.0,905,2\n",
        {0: ("time_s", "clock, h:min:s"), 1: ("speed_rpm", "rpm"), 2: ("boost_kpa", "kPa")},
    )
    assert log.table["time_s"].tolist() == pytest.approx([0.0, 0.5, 58.5])


def test_what_is_not_possible_is_left_out_and_counted():
    log = read(b"time_s,rpm,torque_pct,boost_kPa\n0,900,-125,1\n1,910,20,9999\n2,920,21,2\n")
    assert (log.column("torque_pct").left_out, log.column("torque_pct").left_out_low) == (1, -125.0)
    assert log.column("boost_kpa").left_out == 1
    assert log.column("boost_kpa").highest == 2.0
    assert log.table["boost_kpa"].isna().tolist() == [False, True, False]


def test_absolute_pressure_becomes_boost_with_the_air_of_the_log_or_of_the_place():
    """Gauge is absolute less the air: 150 - 75 kPa; standard air at 2600 m is 73.75 kPa (ISO 2533)."""
    both = read(b"time_s,rpm,MAP abs [kPa],baro_kPa\n0,900,150,75\n1,910,151,75\n")
    assert both.table["boost_kpa"].tolist() == [75.0, 76.0]
    assert "as logged" in str(both.boost_from)
    data = b"time_s,rpm,MAP abs [kPa]\n0,900,150\n1,910,151\n"
    dialect = find_dialect(data)
    mapping = {i: guess(h) for i, h in enumerate(dialect.header)}
    placed = read_columns(data, dialect, mapping, float(standard_pressure_kpa(2600.0)))
    assert placed.table["boost_kpa"].tolist() == pytest.approx([76.25, 77.25], abs=0.05)
    assert "boost_kpa" not in read_columns(data, dialect, mapping).table, "without the air nothing is made up"


def test_sparse_cells_stay_empty():
    log = read(b"time_s,rpm,boost_kPa\n0,900,\n1,,2\n2,920,\n3,,3\n")
    assert log.column("speed_rpm").value_count == 2
    assert log.series("boost_kpa")[0].tolist() == [1.0, 3.0]


def test_text_in_a_column_is_counted_not_guessed():
    log = read(b"time_s,rpm,boost_kPa\n0,900,1\n1,abc,2\n2,920,3\n")
    assert log.column("speed_rpm").unreadable == 1
    assert log.column("speed_rpm").value_count == 2


def test_short_rows_and_a_cut_off_end_are_counted():
    log = read(b"time_s,rpm,boost_kPa\n0,900,1\n1,910\n2,920,3\n3,9")
    assert (log.row_count, log.short_rows) == (2, 2)


def test_repeated_and_backward_times_are_counted():
    log = read(b"time_s,rpm,boost_kPa\n0,900,1\n0,910,1\n1,920,1\n0.5,930,1\n")
    assert (log.clock_repeats, log.clock_back) == (1, 1)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (NO_TIME, "time"),
        (b"time_s,colour\n0,9\n1,9\n", "Only the time"),
        (UNCLOSED, "never closed"),
        (b"time_s,rpm\n0,900\n1,910\n", "Only time and engine speed"),
    ],
)
def test_refusals_have_their_own_message(data, words):
    with pytest.raises(FileRefused, match=words):
        read(data)


def test_an_unclosed_quote_swallows_nothing_silently():
    """A reader that trusts it would return one row of three without an error."""
    with pytest.raises(FileRefused, match="line 3"):
        read(UNCLOSED)


def test_one_quantity_cannot_stand_for_two_columns():
    with pytest.raises(FileRefused, match="two columns"):
        read(
            b"a,b,c,d\n0,900,1,2\n1,910,1,2\n",
            {0: ("time_s", "s"), 1: ("speed_rpm", "rpm"), 2: ("boost_kpa", "kPa"), 3: ("boost_kpa", "kPa")},
        )


def test_a_unit_must_fit_its_quantity():
    with pytest.raises(FileRefused, match="not a unit"):
        read(b"a,b,c\n0,900,1\n1,910,1\n", {0: ("time_s", "s"), 1: ("speed_rpm", "kPa"), 2: ("boost_kpa", "kPa")})


def test_a_lonely_spike_is_pointed_out_and_kept():
    log = read(pull_log(spike=True))
    assert log.column("fuel_flow_l_h").spikes == [(5.0, 81.8)]
    assert log.column("fuel_flow_l_h").highest == 81.8


def test_a_step_and_a_real_peak_are_no_spike():
    times = np.arange(40.0)
    assert lonely_spikes(times, np.where(times < 20, 1.0, 50.0), 5.0) == []
    assert lonely_spikes(times, 50 * np.exp(-((times - 20) ** 2) / 30), 5.0) == []


def test_thinning_keeps_the_extremes_of_every_bucket():
    """Against a bare minimum and maximum of NumPy over the same buckets."""
    values = np.random.default_rng(1).normal(size=20_000).cumsum()
    _, kept = thinned(np.arange(20_000.0), values, 200)
    edges = np.linspace(0, 20_000, 201).astype(int)
    for start, end in itertools.pairwise(edges):
        assert {values[start:end].min(), values[start:end].max()} <= set(kept)
    assert len(kept) <= 402, "two a bucket, and the ends"


@pytest.mark.parametrize("chunk", [70, 300, 1 << 20])
def test_a_log_read_in_chunks_is_what_pandas_reads_of_the_whole(monkeypatch, chunk):
    """Chunks end at lines wherever they fall: in a long line, behind a short one, among blank lines at the end."""
    monkeypatch.setattr("measurements.logs.parsing.cells.CHUNK", chunk)
    monkeypatch.setattr("measurements.logs.parsing.cells.BLOCK", 16)
    random = np.random.default_rng(3)
    rows = [f"{i / 10},{1500 + i},{random.uniform(0, 90):.{3 + i % 9}f}" for i in range(400)]
    text = "\n".join(["time_s,engine_speed_rpm,boost_kPa", *rows]) + "\n" * 700
    log = read(text.encode())
    whole = pd.read_csv(io.StringIO(text))
    assert log.row_count == len(whole) == 400
    np.testing.assert_array_equal(log.table["boost_kpa"], whole["boost_kPa"])
    rows[100] += ",7"  # too wide: left out
    text = "\n".join(["time_s,engine_speed_rpm,boost_kPa", *rows])
    np.testing.assert_array_equal(read(text.encode()).table["boost_kpa"], whole["boost_kPa"].drop(100))
