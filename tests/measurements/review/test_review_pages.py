import csv
import io
import re

import pytest

from measurements.review.views import PAGE_SIZE
from tests.answers import assert_not_for_this_role, assert_not_found, assert_wrong_verb
from tests.builders import make_cooler, make_turbo
from tests.measurements.review.cases import broke, finished_job, heard, read_heat, run_of

pytestmark = pytest.mark.django_db
ADDRESSES = ("/review/", "/review/pairings.csv")


@pytest.fixture
def turbo(owner):
    return make_turbo(name="T1")


def address(turbo, tenths=60, cooler="none"):
    return f"/review/pairing/{turbo.pk}/{tenths}/{cooler}/"


def table(response) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(response.content.decode())))


def seven_followed(owner, turbo):
    for on, fails in [(100, True), (200, True), (300, True), (800, False), (800, False), (900, False), (900, False)]:
        job = finished_job(owner, turbo, handed_meter=1000)
        if fails:
            broke(job, owner, on, cause="oil coked")
        else:
            heard(job, owner, on, 21_000)
    return job


@pytest.mark.parametrize("where", ADDRESSES)
def test_only_the_owner_sees_the_review(where, turbo, owner, desk_client, technician_client, owner_client):
    finished_job(owner, turbo)
    assert owner_client.get(where).status_code == 200
    for client in (desk_client, technician_client):
        assert_not_for_this_role(client.get(where))
        assert_not_for_this_role(client.get(address(turbo)))


@pytest.mark.parametrize("where", ADDRESSES)
def test_a_review_is_only_read(where, owner_client):
    assert_wrong_verb(owner_client.post(where))


def test_an_empty_review_says_what_will_stand_there(owner_client):
    page = " ".join(owner_client.get("/review/").content.decode().split())
    assert "It begins with the first job that is handed over" in page


def test_the_table_shows_what_was_added_up(owner_client, owner, turbo):
    job = seven_followed(owner, turbo)
    read_heat(job, owner, 655, run_of(job, owner))
    page = " ".join(owner_client.get("/review/").content.decode().split())
    # 3 of 7 failed before 24 months, all at different times: 6/7 x 5/6 x 4/5 = 4/7 = 57 %
    assert '<span class="figure">57</span>' in page
    assert "4 still followed" in page
    assert '<span class="figure">80,000</span> <small class="unit">km of 4</small>' in page
    assert '<span class="figure">45</span> <small class="unit">°C</small>' in page
    assert "least of 1, average 45" in page
    assert '<option value="24" selected>' in page
    assert "not known" in page  # the gain: nobody measured a curve


def test_failures_that_came_later_are_not_told_as_none(owner_client, owner, turbo):
    """All of the second pairing ran at six months; the column beside counts the three that failed after it."""
    seven_followed(owner, turbo)
    page = owner_client.get("/review/?months=6").content.decode()
    assert '<span class="figure">86</span>' in page  # 6 of 7
    for on in (210, 220, 230):
        broke(finished_job(owner, turbo, 9.0, handed_meter=1000), owner, on, cause="oil coked")
    for on in (400, 500):
        heard(finished_job(owner, turbo, 9.0, handed_meter=1000), owner, on, 21_000)
    page = owner_client.get("/review/?months=6").content.decode()
    assert "%, no failure by then" in page
    assert "no failure yet" not in page


def test_unknown_stays_unknown_in_the_table(owner_client, owner, turbo):
    finished_job(owner, turbo)
    page = owner_client.get("/review/").content.decode()
    assert page.count(">not known<") == 3
    assert "too few" in page


def test_filter_and_sort_stand_in_the_address(owner_client, owner, turbo):
    other, cooler = make_turbo(name="T2"), make_cooler()
    for _ in range(3):
        finished_job(owner, other, 6.0, cooler)
    finished_job(owner, turbo, 7.0)

    def names(query):
        return [row["turbo"][-2:] for row in table(owner_client.get(f"/review/pairings.csv?{query}"))]

    assert names("") == ["T2", "T1"]
    assert names("sort=turbo") == ["T1", "T2"]
    assert names("sort=fitted") == ["T1", "T2"]
    assert names("q=t1") == ["T1"]
    assert names("cooler=with") == ["T2"]
    assert names("cooler=without") == ["T1"]
    assert names("plunger=6,9") == ["T1"]
    assert names("least=2") == ["T2"]
    assert names("q=nothing") == []
    page = owner_client.get("/review/?q=t1&sort=turbo&cooler=without").content.decode()
    assert 'value="t1"' in page
    assert "/review/pairings.csv?q=t1&amp;sort=turbo&amp;cooler=without" in page
    assert "No pairing matches" in owner_client.get("/review/?q=nothing").content.decode()


@pytest.mark.parametrize(
    ("query", "words"),
    [
        ("plunger=90", "Allowed: 4 to 14 mm"),
        ("least=many", "Fitted at least"),
        ("months=7", "Select a valid choice"),
        ("cooler=x", "valid choice"),
    ],
)
def test_a_filter_that_cannot_be_is_refused_with_what_was_typed(owner_client, owner, turbo, query, words):
    finished_job(owner, turbo)
    response = owner_client.get(f"/review/?{query}")
    assert response.status_code == 422
    assert words in response.content.decode()
    assert owner_client.get(f"/review/pairings.csv?{query}").status_code == 422


def test_an_unknown_sort_falls_back(owner_client, owner, turbo):
    finished_job(owner, turbo)
    plain, odd = (owner_client.get(f"/review/{query}").content.decode() for query in ("", "?sort=-nonsense"))
    assert turbo.name in plain
    table = re.compile("<tbody.*?</tbody>", re.DOTALL)
    assert table.findall(odd) == table.findall(plain) != []


def test_csv_has_stored_units_and_empty_cells_for_the_unknown(owner_client, owner, turbo):
    seven_followed(owner, turbo)
    (row,) = table(owner_client.get("/review/pairings.csv?months=12"))
    assert (row["turbo"], row["plunger_mm"], row["cooler"], row["fitted"]) == ("Ostrel T1", "6", "no", "7")
    assert (row["survival_at_months"], row["at_risk"]) == ("12", "4")
    assert float(row["survival"]) == pytest.approx(4 / 7)
    assert (row["running_km"], row["running_km_known_of"], row["running_h"]) == ("80000", "4", "")
    assert (row["gain_kw"], row["exhaust_in_hand_lowest_c"], row["too_few"]) == ("", "", "")


def test_a_name_that_looks_like_a_formula_is_made_harmless_in_the_csv(owner_client, owner):
    finished_job(owner, make_turbo(make="=1+1", name="T"))
    assert table(owner_client.get("/review/pairings.csv"))[0]["turbo"] == "'=1+1 T"


def test_one_pairing_shows_curve_numbers_at_risk_jobs_and_causes(owner_client, owner, turbo):
    seven_followed(owner, turbo)
    page = owner_client.get(address(turbo)).content.decode()
    assert "After 24 months 57 % still run without a failure that counts (17 % to 84 %)" in page
    assert 'data-plot="figure-survival"' in page
    assert "<svg" in page  # without script the drawing is there as well
    assert "95 % interval by the log-log method" in page
    assert page.count("oil coked") == 3
    assert "7 jobs, those that failed first" in page


def test_the_interval_of_the_page_is_the_published_one():
    """Four of seven left, no one lost before: log-log interval by hand.

    S = 4/7, Greenwood's sum 1/(7x6) + 1/(6x5) + 1/(5x4) = 0.107143; half width on the log-log scale
    1.959964 x 0.327327 / 0.559616 = 1.146405; S^exp(1.146405) = 0.1719, S^exp(-1.146405) = 0.8371.
    """
    from measurements.review.survival import survival

    reading = survival([3, 6, 9, 26, 26, 30, 30], [1, 1, 1, 0, 0, 0, 0]).at(24)
    assert (reading.low, reading.high) == (pytest.approx(0.1719, abs=1e-4), pytest.approx(0.8371, abs=1e-4))


def test_too_few_stands_in_words_on_the_page_of_a_pairing(owner_client, owner, turbo):
    heard(finished_job(owner, turbo), owner, 100)
    page = owner_client.get(address(turbo)).content.decode()
    assert "Too few to say: 1 vehicle followed. A curve needs at least 5." in page
    assert "data-plot" not in page


def test_a_pairing_that_nobody_fitted_is_not_found(owner_client, owner, turbo):
    finished_job(owner, turbo, 6.0)
    for where in (address(turbo, 65), address(turbo, 60, "cooler"), "/review/pairing/99999/60/none/"):
        assert_not_found(owner_client.get(where))


def test_a_failure_without_a_known_cause_says_so(owner_client, owner, turbo):
    broke(finished_job(owner, turbo), owner, 50)
    assert "not known" in owner_client.get(address(turbo)).content.decode()


def queries_for(client, path, django_assert_max_num_queries):
    client.get(path)  # outcomes are made on the first visit
    with django_assert_max_num_queries(15) as counted:
        assert client.get(path).status_code == 200
    return len(counted)


def test_two_hundred_pairings_ask_no_more_than_two(owner_client, owner, turbo, django_assert_max_num_queries):
    for turbo_now in (turbo, make_turbo()):
        heard(finished_job(owner, turbo_now), owner, 100)
    two = queries_for(owner_client, "/review/", django_assert_max_num_queries)
    one_pairing = queries_for(owner_client, address(turbo), django_assert_max_num_queries)
    for _ in range(198):
        heard(finished_job(owner, make_turbo()), owner, 100)
    for _ in range(30):
        broke(finished_job(owner, turbo), owner, 100)
    assert queries_for(owner_client, "/review/", django_assert_max_num_queries) == two
    assert queries_for(owner_client, address(turbo), django_assert_max_num_queries) == one_pairing
    page = owner_client.get("/review/?page=2")
    assert len(page.context["rows"]) == PAGE_SIZE
