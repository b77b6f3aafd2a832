import math
import uuid

import pytest

from shop.survey.actions import current_facts, displacement_range_l, record_facts
from tests.builders import FACTS, NOW, make_job, make_vehicle


def test_measured_beats_book_and_book_beats_hearsay_whatever_the_order(owner):
    vehicle = make_vehicle()
    record_facts(vehicle, {"plunger_diameter_mm": (6, 6, "", "measured")}, owner)
    record_facts(vehicle, {"plunger_diameter_mm": (5.5, 6.5, "", "told")}, owner)
    record_facts(vehicle, {"plunger_diameter_mm": (5.5, 5.5, "", "book")}, owner)
    assert current_facts(vehicle)["plunger_diameter_mm"].low == 6
    assert vehicle.facts.count() == 3  # nothing that was said is lost


def test_saying_the_same_again_adds_no_row(owner):
    vehicle = make_vehicle()
    for _ in range(2):
        record_facts(vehicle, FACTS, owner, at=NOW)
    assert vehicle.facts.count() == len(FACTS)


def test_displacement_follows_from_bore_and_stroke_when_they_are_better_known(owner):
    """pi/4 x bore² x stroke x cylinders: 93 x 92 mm x 4 is 2.4998 L (geometry; recomputed with math.pi)."""
    vehicle = make_vehicle()
    record_facts(vehicle, {"displacement_l": (2.4, 2.7, "", "told")}, owner)
    assert displacement_range_l(current_facts(vehicle)) == (2.4, 2.7, "told")
    record_facts(
        vehicle,
        {"bore_mm": (93, 93, "", "measured"), "stroke_mm": (92, 92, "", "book"), "cylinder_count": (4, 4, "", "book")},
        owner,
    )
    low, high, origin = displacement_range_l(current_facts(vehicle))
    assert low == high == pytest.approx(math.pi / 4 * 0.93**2 * 0.92 * 4, rel=1e-12)
    assert low == pytest.approx(2.4998, abs=5e-4)
    assert origin == "book"  # as good as its weakest part


def _post(job, client, **typed):
    return client.post(f"/jobs/{job.pk}/facts/", {"post_id": str(uuid.uuid4())} | typed)


def test_facts_sheet_stores_values_ranges_and_where_from(technician_client, owner, technician):
    job = make_job(owner)
    response = _post(
        job,
        technician_client,
        displacement_l_low="2,5",
        displacement_l_origin="book",
        plunger_diameter_mm_low="5.5",
        plunger_diameter_mm_high="6",
        plunger_diameter_mm_origin="told",
        injection_text="indirect",
        injection_origin="measured",
    )
    assert response.status_code == 302
    facts = current_facts(job.vehicle)
    assert (facts["displacement_l"].low, facts["displacement_l"].high) == (2.5, 2.5)
    assert facts["plunger_diameter_mm"].is_range
    assert facts["injection"].shown.startswith("indirect")
    assert facts["injection"].by == technician


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (
            {"displacement_l_low": "-2.5", "displacement_l_origin": "book"},
            "Displacement: -2.5 is outside what is possible. Allowed: 0.2 to 30 L",
        ),
        ({"displacement_l_low": "big", "displacement_l_origin": "book"}, "is not a number"),
        ({"displacement_l_low": "2.5"}, "Displacement: say where it comes from"),
        ({"cylinder_count_low": "4.5", "cylinder_count_origin": "book"}, "is not a whole number"),
        (
            {"plunger_diameter_mm_low": "7", "plunger_diameter_mm_high": "6", "plunger_diameter_mm_origin": "told"},
            "the range runs from 7 to 6",
        ),
    ],
)
def test_bad_fact_is_refused_beside_its_field_and_stays_typed(technician_client, owner, typed, message):
    job = make_job(owner)
    response = _post(
        job, technician_client, emission_equipment_text="none found", emission_equipment_origin="measured", **typed
    )
    page = response.content.decode()
    assert response.status_code == 422
    assert message in page
    assert "none found" in page
    assert not job.vehicle.facts.exists()
