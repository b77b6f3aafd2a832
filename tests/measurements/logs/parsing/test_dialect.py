"""How a file is understood, for what real logs look like. Every sample is of our own making."""

import pytest

from measurements.logs.parsing.dialect import find_dialect
from measurements.logs.parsing.names import guess
from sizing.tables.refused import FileRefused
from tests.measurements.logs.log_files import ONE_COLUMN, PHOTO


def test_comma_and_point():
    d = find_dialect(b"time_s,rpm,boost_kPa\n0.0,900,1.5\n0.1,905,1.6\n")
    assert (d.delimiter, d.decimal, d.header, d.skip_rows) == (",", ".", ("time_s", "rpm", "boost_kPa"), 1)


def test_semicolon_with_decimal_comma_units_row_and_single_byte_letters():
    d = find_dialect("Zeit;Drehzahl;Öldruck\n[s];[1/min];[bar]\n0,1;900;2,5\n0,2;905;2,6\n".encode("cp1252"))
    assert (d.delimiter, d.decimal, d.encoding) == (";", ",", "cp1252")
    assert d.header == ("Zeit", "Drehzahl", "Öldruck")
    assert d.units == ("[s]", "[1/min]", "[bar]")


def test_semicolon_with_decimal_point():
    assert find_dialect(b"t;rpm;boost\n0.1;900;1.5\n0.2;905;1.6\n").decimal == "."


def test_tab_and_byte_order_mark():
    d = find_dialect(b"\xef\xbb\xbftime_s\trpm\n0\t900\n1\t905\n")
    assert (d.delimiter, d.header) == ("\t", ("time_s", "rpm"))


def test_notes_before_the_header():
    d = find_dialect(b"Logger 7\nTest of 3 March; cold\n\ntime_s,rpm,boost_kPa\n0,900,1\n1,910,2\n2,920,3\n")
    assert (d.header, d.skip_rows) == (("time_s", "rpm", "boost_kPa"), 4)


@pytest.mark.parametrize(
    ("data", "header"),
    [
        pytest.param(b"0,900,1\n1,910,2\n", ("column 1", "column 2", "column 3"), id="no header at all"),
        pytest.param(b"time_s,rpm\n0,900,\n1,910,\n", ("time_s", "rpm", ""), id="a delimiter ends the rows only"),
        pytest.param("time_s,rpm\n0,900\n1,905\n".encode("utf-16"), ("time_s", "rpm"), id="UTF-16"),
    ],
)
def test_the_header_is_found(data, header):
    assert find_dialect(data).header == header


def test_every_field_quoted():
    d = find_dialect(b'"time_s","rpm"\n"0","900"\n"1","910"\n')
    assert d.header == ("time_s", "rpm")
    assert d.first_rows[0] == ("0", "900")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "empty"),
        (b" \n\n ", "empty"),
        (PHOTO, "photo"),
        (b"\x89PNG\r\n\x1a\n" + b"\x00" * 50, "picture"),
        (b"%PDF-1.7 ...", "PDF"),
        (b"PK\x03\x04....", "spreadsheet"),
        (b"\x1f\x8b\x08....", "gzip"),
        (b"abc\x00\x01\x02" * 40, "not text"),
        (ONE_COLUMN, "one column"),
        (b"dear workshop,\nhere is my log.\n", "No rows of figures"),
        (b"a," * 400 + b"a\n" + b"1," * 400 + b"1\n" + b"1," * 400 + b"1\n", "columns"),
    ],
)
def test_what_is_no_log_is_refused_with_its_own_message(data, words):
    with pytest.raises(FileRefused, match=words):
        find_dialect(data)


@pytest.mark.parametrize(
    ("header", "taken_for"),
    [
        ("time_s", ("time_s", "s")),
        ("Time [ms]", ("time_s", "ms")),
        ("engine_speed_rpm", ("speed_rpm", "rpm")),
        ("RPM", ("speed_rpm", "rpm")),
        ("Engine Speed (1/min)", ("speed_rpm", "rpm")),
        ("boost_kPa", ("boost_kpa", "kPa")),
        ("Boost [bar]", ("boost_kpa", "bar")),
        ("Boost pressure (psi)", ("boost_kpa", "psi")),
        ("MAP abs [mbar]", ("manifold_pressure_kpa", "mbar")),
        ("EGT_C", ("exhaust_temperature_c", "°C")),
        ("Exhaust temp [°F]", ("exhaust_temperature_c", "°F")),
        ("intake_manifold_temp_C", ("charge_temperature_c", "°C")),
        ("coolant_temp_C", ("coolant_temperature_c", "°C")),
        ("oil_pressure_kPa", ("oil_pressure_kpa", "kPa")),
        ("barometric_kPa", ("air_pressure_kpa", "kPa")),
        ("pedal_pct", ("pedal_pct", "%")),
        ("actual_torque_pct", ("torque_pct", "%")),
        ("max_torque_Nm", ("torque_nm", "Nm")),
        ("Power [kW]", ("power_kw", "kW")),
        ("Dyno_Spd[mph]", ("road_speed_km_h", "mph")),
        ("fuel_rate_L_per_h", ("fuel_flow_l_h", "L/h")),
        ("Lambda [-]", ("lambda_ratio", "ratio")),
        ("Eng_FuelFlow[ccps]", ("", "")),  # a unit that is not known: a person has to look
        ("fuel_temp_C", ("", "")),
        ("gear", ("", "")),
    ],
)
def test_a_name_is_taken_for(header, taken_for):
    assert guess(header) == taken_for


def test_a_long_form_whose_header_is_wider_than_its_rows_is_read():
    rows = [f"{i / 10},{name},{i},{unit}" for i in range(20) for name, unit in (("boost", "kPa"), ("speed", "rpm"))]
    found = find_dialect("\n".join(["time,channel,value,unit,remark", *rows]).encode())
    assert (found.long, found.skip_rows) == ((0, 1, 2, 3), 1)
