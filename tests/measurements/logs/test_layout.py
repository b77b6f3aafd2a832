"""A wrong guess of delimiter, decimal mark or line of names is mended by a person, from the file as it was received.

The figures are those that the samples were written from. Point or comma on the line may be the decimal marker (SI Brochure,
9th edition, 5.4.4, from memory); that spreadsheets part thousands by the other one is common practice.
"""

import json

import pytest
from django.core.management import CommandError, call_command
from django.urls import reverse

from measurements.logs.actions import receive_log
from measurements.logs.matches import bytes_of
from measurements.logs.models import LogFile, LogMatch
from measurements.logs.parsing.dialect import Layout
from measurements.logs.parsing.parts import understand
from measurements.logs.reading import read_log
from tests.measurements.builders import planned_job
from tests.measurements.logs.parsing.log_dialects import BOOSTS, ROWS, SPEEDS, TIMES, comma, table, zipped
from tests.measurements.logs.test_pages import matched, text_of, upload
from tests.measurements.logs.test_read_log_command import told

# Two states behind a semicolon in the last column: the semicolon seems to part the columns.
STATES = table([(*row, f"{i % 4};0") for i, row in enumerate(ROWS)], ("time_s", "rpm", "boost_kPa", "states"))
# Thousands parted by a comma, as a spreadsheet writes them: the comma seems to be a decimal mark.
THOUSANDS = table([(i, f"{1000 + 50 * i:,}", i) for i in range(40)], ("time_s", "rpm", "boost_kPa"), ";")
# A line of serial numbers below the names seems to hold the names.
SERIALS = table([("A17", "B22", "C03"), *ROWS], ("time_s", "rpm", "boost_kPa"), ";")


def address(log, name="log_match"):
    return reverse(f"measurements:{name}", args=[log.pk])


def received(data: str, by, name="run.csv") -> LogFile:
    return receive_log(planned_job(by), "before", name, data.encode(), by)


def figures(log) -> dict:
    return {c.quantity: (c.lowest, c.highest) for c in log.columns.all() if c.quantity}


@pytest.mark.parametrize(
    ("data", "said", "speeds"),
    [
        (STATES, {"delimiter": "comma"}, (min(SPEEDS), max(SPEEDS))),
        (THOUSANDS, {"decimal": "point"}, (1000.0, 2950.0)),
        (SERIALS, {"names_line": "1"}, (min(SPEEDS), max(SPEEDS))),
    ],
    ids=["delimiter", "decimal mark", "line of names"],
)
def test_a_wrong_guess_is_shown_mended_and_read_from_the_original(technician, technician_client, data, said, speeds):
    log = received(data, technician)
    read = figures(log)
    assert "boost_kPa</strong>" in text_of(technician_client.get(address(log), said))
    log.refresh_from_db()
    assert (log.state, log.layout, figures(log)) == ("received", {}, read), "looking stores nothing"
    recording = understand(
        data.encode(),
        lambda number: Layout.of_words(**{k: int(v) if k == "names_line" else v for k, v in said.items()}),
    ).recordings[0]
    sent = {
        "quantity_0": "time_s",
        "unit_0": "s",
        "quantity_1": "speed_rpm",
        "unit_1": "rpm",
        "quantity_2": "boost_kpa",
        "unit_2": "kPa",
    }
    response = technician_client.post(address(log), sent | said)
    assert response.status_code == 302, text_of(response)
    log.refresh_from_db()
    assert figures(log)["speed_rpm"] == speeds
    assert [c.header for c in log.columns.all()] == list(recording.dialect.header)
    assert [c.header for c in log.columns.all()][:3] == ["time_s", "rpm", "boost_kPa"]
    assert bytes_of(log) == data.encode(), "the original stays as it came"


def test_what_was_said_is_said_back_and_kept_when_read_again(technician, technician_client):
    log = received(STATES, technician)
    assert "semicolon between columns" in text_of(technician_client.get(address(log)))
    page = text_of(technician_client.get(address(log), {"delimiter": "comma"}))
    assert "comma between columns" in page
    assert 'name="delimiter" value="comma"' in page
    sent = {
        f"{part}_{i}": value
        for i, pair in enumerate([("time_s", "s"), ("speed_rpm", "rpm"), ("boost_kpa", "kPa")])
        for part, value in zip(("quantity", "unit"), pair, strict=True)
    }
    technician_client.post(address(log), sent | {"delimiter": "comma"})
    log.refresh_from_db()
    assert matched(technician_client, log).status_code == 302, "read again without a word about the layout"
    log.refresh_from_db()
    assert log.layout == {"delimiter": ","}
    assert figures(log)["boost_kpa"] == (min(BOOSTS), max(BOOSTS))
    assert "comma between columns" in text_of(technician_client.get(address(log)))
    assert matched(technician_client, log, delimiter="", quantity_0="").status_code == 422, (
        "and it may be taken back to what was found"
    )


def test_the_next_file_with_the_same_header_comes_in_mended(technician, technician_client):
    log = received(THOUSANDS, technician)
    matched(technician_client, log, decimal="point")
    job = planned_job(technician)
    again = receive_log(job, "before", "next.csv", THOUSANDS.replace("\n0;", "\n-1;").encode(), technician)
    assert again.layout == {"decimal": "."}
    read_log(again, None, technician)
    assert figures(again)["speed_rpm"] == (1000.0, 2950.0)
    assert LogMatch.objects.count() == 1


def test_a_file_that_is_laid_out_otherwise_is_not_read_by_what_was_said_of_another(technician, technician_client):
    """The same names with a point in the figures: here nothing is wrong, so nothing is carried over."""
    log = received(table(header=("time_s", "rpm", "boost_kPa"), mark=";", write=comma), technician)
    matched(technician_client, log, decimal="comma")
    other = receive_log(planned_job(technician), "before", "b.csv", table(mark=";").encode(), technician)
    assert other.layout == {}
    read_log(other, None, technician)
    assert figures(other)["boost_kpa"] == (min(BOOSTS), max(BOOSTS))


def test_a_mark_that_was_said_parts_no_thousands_by_accident(technician, technician_client):
    """With the comma said to be the decimal mark, 1.5 is no figure: left out and counted, never 15 or 1.5."""
    rows = [(str(i), comma(n), "1.5" if i == 7 else comma(b)) for i, (_, n, b) in enumerate(ROWS)]
    log = received(table(rows, mark=";"), technician)
    matched(technician_client, log, decimal="comma")
    boost = log.columns.get(quantity="boost_kpa")
    assert (boost.value_count, boost.left_out_count) == (39, 1)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"delimiter": "bar"}, "With bar between columns it is no table"),
        ({"names_line": "41"}, "no row of figures stands below it"),
        ({"names_line": "300"}, "no names stand there"),
        ({"names_line": "9999"}, "Names of columns in line: 0 to 400 is allowed"),
        ({"names_line": "two"}, "Names of columns in line: 0 to 400 is allowed"),
        ({"delimiter": "colon"}, "colon is not one of the available choices"),
    ],
)
def test_what_cannot_be_is_refused_with_what_is_allowed(technician, technician_client, said, words):
    log = received(table(), technician)
    response = technician_client.get(address(log), said)
    assert response.status_code == 422
    page = text_of(response)
    assert words in page
    assert "rpm" in page, "the columns are shown as they were before"
    assert matched(technician_client, log, **said).status_code == 422
    log.refresh_from_db()
    assert (log.state, log.layout) == ("received", {})


def test_no_line_holds_names(technician, technician_client):
    log = received(table(header=("1", "2", "3")), technician)
    page = text_of(technician_client.get(address(log), {"names_line": "0"}))
    assert "no names of columns" in page
    assert "column 3" in page


def test_long_form_is_laid_out_before_it_is_brought_into_columns(technician, technician_client):
    """Thousands in the column of values; the channels become columns as ever."""
    data = "Time;Channel;Value;Unit\n" + "".join(
        f"{t:g};Engine speed;{1000 + 50 * i:,};1/min\n{t:g};Boost;{i};kPa\n" for i, t in enumerate(range(40))
    )
    log = received(data, technician)
    page = text_of(technician_client.get(address(log)))
    assert "semicolon between columns" in page
    assert "Names of columns in line" not in page
    assert matched(technician_client, log, decimal="point").status_code == 302
    assert figures(log)["speed_rpm"] == (1000.0, 2950.0)
    assert figures(log)["boost_kpa"] == (0.0, 39.0)


def test_only_the_recording_that_is_meant_is_laid_out_anew(technician, technician_client):
    """Two files in one: what is said of the first does not change the second, which was found to be laid out otherwise."""
    job = planned_job(technician)
    upload(technician_client, job, zipped(a__csv=THOUSANDS, b__csv=table(mark=";")), name="day.zip")
    first, second = LogFile.objects.order_by("recording")
    matched(technician_client, first, decimal="point", alike="1")
    first.refresh_from_db()
    second.refresh_from_db()
    assert (first.layout, second.layout) == ({"decimal": "."}, {})
    assert figures(first)["speed_rpm"] == (1000.0, 2950.0)
    assert figures(second)["boost_kpa"] == (min(BOOSTS), max(BOOSTS))


def test_an_instrument_does_not_stay_with_a_column_taken_for_something_else(technician, technician_client, heat_probe):
    log = read_log(received(table(header=("time_s", "rpm", "egt_C")), technician), None, technician)
    log.columns.filter(header="egt_C").update(instrument=heat_probe)
    matched(technician_client, log)
    assert log.columns.get(header="egt_C").instrument == heat_probe
    matched(technician_client, log, quantity_2="boost_kpa", unit_2="kPa")
    assert log.columns.get(header="egt_C").instrument is None


@pytest.fixture
def heat_probe(db):
    from measurements.readings.instruments import Instrument

    return Instrument.objects.create(name="Probe 3", quantity="exhaust_temperature_c", uncertainty=8.0)


def test_the_command_takes_the_same_corrections(tmp_path):
    [recording] = json.loads(told(tmp_path, STATES.encode(), "--json", "--delimiter", "comma"))["recordings"]
    assert recording["dialect"]["delimiter"] == "comma"
    assert recording["dialect"]["said_by_you"] is True
    speed = next(c for c in recording["channels"] if c["quantity"] == "speed_rpm")
    assert (speed["lowest"], speed["highest"]) == (min(SPEEDS), max(SPEEDS))
    [recording] = json.loads(told(tmp_path, THOUSANDS.encode(), "--json", "--decimal", "point"))["recordings"]
    assert recording["channels"][0]["highest"] == 2950.0
    [recording] = json.loads(told(tmp_path, SERIALS.encode(), "--json", "--names-line", "1"))["recordings"]
    assert recording["seconds"] == TIMES[-1]
    assert "names in line 1" in told(tmp_path, SERIALS.encode(), "--names-line", "1")


def test_the_command_says_what_cannot_be(tmp_path):
    with pytest.raises(CommandError, match="0 to 400"):
        told(tmp_path, STATES.encode(), "--names-line", "-1")
    with pytest.raises(CommandError, match="With bar between columns"):
        told(tmp_path, STATES.encode(), "--delimiter", "bar")
    with pytest.raises(CommandError, match="no recording 3"):
        told(tmp_path, STATES.encode(), "--recording", "3")
    with pytest.raises(CommandError, match="invalid choice"):
        call_command("read_log", str(tmp_path / "run.csv"), "--decimal", "dot")
