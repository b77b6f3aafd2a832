"""The guided smoke test: nothing lost, nothing counted twice, the limit recorded as it stood."""

import uuid

import pytest
from django.urls import reverse

from measurements.bench.smoke.actions import add_examples, add_snap, correct_snap, outcome_of, start_smoke_test
from measurements.bench.smoke.models import SmokeLimit, SmokeSnap, SmokeTest
from measurements.readings.actions import ReadingRefused
from measurements.readings.instruments import Instrument
from tests.builders import make_job

pytestmark = pytest.mark.django_db


@pytest.fixture
def job(technician):
    return make_job(technician)


@pytest.fixture
def limit():
    # French order of 18 June 1991: 3.0 for a turbocharged engine in use
    return SmokeLimit.objects.create(name="turbocharged, in use", value=3.0, source="French order of 18 June 1991")


def begin(job, by, **fields):
    return start_smoke_test(job, "after", "free", 85.0, by, limit_reason="paper says turbocharged", **fields)


def snaps(test, by, *values, clearing=3):
    made = [add_snap(test, None, by) for _ in range(clearing)]
    return made + [add_snap(test, v, by) for v in values]


def fresh(test):
    return SmokeTest.objects.with_snaps().get(pk=test.pk)


def test_three_clearing_snaps_then_three_that_count(job, technician, limit):
    test = begin(job, technician, limit=limit)
    snaps(test, technician, 2.0, 2.1, 2.05)
    test = fresh(test)
    assert [s.is_clearing for s in test.standing()] == [True] * 3 + [False] * 3
    found = outcome_of(test)
    assert (found.state, found.word) == ("met", "on_plan")
    assert found.mean == pytest.approx(2.05)  # arithmetic mean
    with pytest.raises(ReadingRefused, match="complete"):
        add_snap(test, 1.0, technician)
    texts = [event.text for event in job.events.filter(kind="smoke").order_by("pk")]
    assert "smoke test begun" in texts[0]
    assert "Limit met" in texts[1]
    assert len(texts) == 2


def test_sent_twice_is_stored_once(job, technician, limit):
    test_id, snap_id = uuid.uuid4(), uuid.uuid4()
    test = begin(job, technician, limit=limit, test_id=test_id)
    assert begin(job, technician, limit=limit, test_id=test_id) == test
    assert SmokeTest.objects.count() == 1
    snaps(test, technician)
    first = add_snap(test, 2.0, technician, snap_id)
    assert add_snap(test, 2.0, technician, snap_id) == first
    assert SmokeSnap.objects.filter(is_clearing=False).count() == 1
    with pytest.raises(ReadingRefused, match="another figure"):
        add_snap(test, 2.4, technician, snap_id)


def test_limit_stays_as_it_was_when_the_table_changes(job, technician, limit):
    test = begin(job, technician, limit=limit)
    limit.value = 1.0
    limit.save()
    snaps(test, technician, 2.0, 2.0, 2.0)
    assert outcome_of(fresh(test)).word == "on_plan"


def test_correction_keeps_both_figures_and_changes_the_mean(job, technician, limit):
    test = begin(job, technician, limit=limit)
    last = snaps(test, technician, 2.0, 2.0, 2.3)[-1]
    assert outcome_of(fresh(test)).state == "more"  # 0.3 apart, 0.25 allowed
    corrected = correct_snap(last, 2.0, "misread", technician)
    assert correct_snap(last, 2.0, "misread", technician) == corrected
    assert outcome_of(fresh(test)).mean == pytest.approx(2.0)
    assert SmokeSnap.objects.get(pk=last.pk).value == 2.3
    with pytest.raises(ReadingRefused, match="why"):
        correct_snap(corrected, 2.1, " ", technician)


def test_opacity_is_turned_into_k_on_the_path_of_the_meter(job, technician):
    test = start_smoke_test(job, "before", "free", 90.0, technician, read_as="opacity", meter_path_m=0.43)
    made = snaps(test, technician, 65.0)[-1]
    assert made.k_per_m == pytest.approx(2.4414, abs=5e-4)  # Beer-Lambert on 0.430 m


def test_limit_on_the_standard_path_needs_the_rated_power(job, technician):
    add_examples()
    california = SmokeLimit.objects.get(name="California, oldest model years")
    with pytest.raises(ReadingRefused, match="rated power"):
        start_smoke_test(job, "before", "snap", 90.0, technician, limit=california, read_as="opacity")
    test = start_smoke_test(
        job, "before", "snap", 90.0, technician, limit=california, read_as="opacity", rated_power_kw=58.0
    )
    assert test.limit_path_m == 0.051  # up to 100 hp 51 mm: 40 CFR 86.884-8(c), from memory
    with pytest.raises(ReadingRefused, match="Choose one of this procedure"):
        start_smoke_test(job, "before", "free", 90.0, technician, limit=california)
    with pytest.raises(ReadingRefused, match="choose a limit in opacity"):
        start_smoke_test(job, "before", "snap", 90.0, technician)


def test_cold_engine_is_refused_unless_that_is_its_usual_temperature(job, technician):
    with pytest.raises(ReadingRefused, match="45 °C is not warm"):
        start_smoke_test(job, "before", "free", 45.0, technician)
    assert (
        start_smoke_test(job, "before", "free", 72.0, technician, is_usual_temperature=True).oil_temperature_c == 72.0
    )


def test_error_of_the_named_meter_goes_into_the_verdict(job, technician, limit):
    meter = Instrument.objects.create(name="smoke meter 1", quantity="smoke_k_per_m", uncertainty=0.6)
    test = begin(job, technician, limit=limit, meter=meter)
    snaps(test, technician, 2.5, 2.5, 2.5)
    found = outcome_of(fresh(test))
    assert (found.uncertainty, found.word) == (0.6, "near_edge")


def test_examples_come_once_and_never_over_the_owners_rows():
    added = add_examples()
    row = SmokeLimit.objects.first()
    SmokeLimit.objects.filter(pk=row.pk).update(value=9.0)
    assert add_examples() == 0
    assert SmokeLimit.objects.count() == added >= 9
    assert SmokeLimit.objects.get(pk=row.pk).value == 9.0
    # published figures: French order of 1991, CMVR rule 115(2)
    assert SmokeLimit.objects.get(name="In use, naturally aspirated, no plate value").value == 2.5
    assert SmokeLimit.objects.get(name="India, older rule, all diesels").value == 65.0


def start_data(**fields):
    return {
        "test_id": str(uuid.uuid4()),
        "phase": "after",
        "procedure": "free",
        "oil_temperature_c": "86",
        "read_as": "k",
    } | fields


def test_whole_test_on_the_phone(technician_client, job, limit):
    url = reverse("measurements:smoke_test", args=[job.pk])
    page = technician_client.get(url)
    assert "nobody stands in it" in page.content.decode()  # the caution about smoke
    answer = technician_client.post(url, start_data(limit=limit.pk, limit_reason="paper"))
    assert answer.status_code == 302
    sheet = answer.url
    for _ in range(3):
        assert technician_client.post(sheet, {"snap_id": str(uuid.uuid4()), "value": ""}).status_code == 302
    for value in ("2,0", "2.1", "2.05"):
        assert technician_client.post(sheet, {"snap_id": str(uuid.uuid4()), "value": value}).status_code == 302
    shown = technician_client.get(sheet).content.decode()
    assert "on plan" in shown
    assert "2.05" in shown
    assert technician_client.get(url).status_code == 200


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"oil_temperature_c": "40"}, "is not warm"),
        ({"oil_temperature_c": "warm"}, "is not a number"),
        ({"oil_temperature_c": "900"}, "Allowed:"),
        ({"limit": "99999"}, "valid choice"),
        ({"procedure": "x"}, "valid choice"),
        ({"meter_path_mm": "2"}, "Allowed: 30 to 1000 mm"),
        ({"test_id": "x"}, "UUID"),
    ],
)
def test_bad_start_is_answered_in_words_with_the_typed_kept(technician_client, job, fields, said):
    answer = technician_client.post(
        reverse("measurements:smoke_test", args=[job.pk]), start_data(note="typed before", **fields)
    )
    text = answer.content.decode()
    assert answer.status_code == 422
    assert said in text
    assert "typed before" in text
    assert SmokeTest.objects.count() == 0


def test_chosen_class_needs_its_reason(technician_client, job, limit):
    answer = technician_client.post(reverse("measurements:smoke_test", args=[job.pk]), start_data(limit=limit.pk))
    assert answer.status_code == 422
    assert "Say why this class holds" in answer.content.decode()


@pytest.mark.parametrize("value", ["", "-1", "11", "a", "1,2.3", "1" * 400])
def test_bad_snap_is_answered_in_words(technician_client, job, technician, value):
    test = start_smoke_test(job, "before", "free", 90.0, technician)
    snaps(test, technician)
    answer = technician_client.post(
        reverse("measurements:smoke_snaps", args=[test.pk]), {"snap_id": str(uuid.uuid4()), "value": value}
    )
    assert answer.status_code == 422
    assert "Not stored" in answer.content.decode()
    assert not fresh(test).measured()


def test_correcting_on_the_phone(technician_client, job, technician):
    test = start_smoke_test(job, "before", "free", 90.0, technician)
    made = snaps(test, technician, 2.0)[-1]
    url = reverse("measurements:smoke_correct", args=[made.pk])
    assert technician_client.post(url, {"value": "2.4", "reason": ""}).status_code == 422
    assert technician_client.post(url, {"value": "2.4", "reason": "misread"}).status_code == 302
    shown = technician_client.get(reverse("measurements:smoke_snaps", args=[test.pk])).content.decode()
    assert "<del>2.0" in shown
    assert "misread" in shown


def test_owner_sets_limits_and_others_see_them(owner_client, technician_client, desk_client, limit):
    table, change = reverse("measurements:smoke_limits"), reverse("measurements:smoke_limit", args=[limit.pk])
    for client in (owner_client, technician_client, desk_client):
        assert "French order" in client.get(table).content.decode()
    assert technician_client.get(change).status_code == 403
    assert technician_client.post(reverse("measurements:smoke_examples")).status_code == 403
    data = {
        "name": "ours",
        "procedure": "free",
        "quantity": "k",
        "value": "1,5",
        "path_m": "",
        "source": "local office",
        "note": "",
    }
    assert owner_client.post(change, data).status_code == 302
    assert SmokeLimit.objects.get(pk=limit.pk).value == 1.5
    for bad, said in (
        ({"value": "12"}, "0.01 to 10"), ({"value": "x"}, "not a number"), ({"source": ""}, "required"),
        ({"path_m": "0.43"}, "needs no path"), ({"quantity": "opacity", "path_m": "430"}, "Allowed: 0.03 to 1"),
    ):  # fmt: skip
        answer = owner_client.post(change, data | bad)
        assert answer.status_code == 422, bad
        assert said in answer.content.decode(), bad
    assert owner_client.post(reverse("measurements:smoke_examples")).status_code == 302
    assert SmokeLimit.objects.count() > 5


def test_pages_ask_no_more_for_many_tests_than_for_two(
    technician_client, technician, job, django_assert_max_num_queries
):
    for _ in range(12):
        snaps(start_smoke_test(job, "before", "free", 90.0, technician), technician, 1.0, 1.0, 1.0)
    with django_assert_max_num_queries(22):
        page = technician_client.get(reverse("measurements:smoke_test", args=[job.pk])).content.decode()
    assert page.count("1.0") >= 12
