"""Smoke procedures against published rules and Beer-Lambert arithmetic."""

import math

import pytest

from measurements.bench.smoke import standard as s
from sizing.physics.engine.smoke import opacity_on_other_path_pct
from sizing.physics.errors import OutOfRange


def test_standard_paths():
    # 40 CFR 86.884-8(c), SAE J1667, from memory: 51, 76, 102, 127 mm up to 100, 200, 300 hp and over
    hp = 0.7457
    assert [s.standard_path_m(p * hp) for p in (99, 101, 199, 201, 299, 301)] == [
        0.051,
        0.076,
        0.076,
        0.102,
        0.102,
        0.127,
    ]
    # 40 CFR 86.884-14(a): 30 % on 3 inches is 44.81 % on 5 inches; on the rounded paths nearly so
    assert opacity_on_other_path_pct(30.0, 0.0762, 0.127) == pytest.approx(44.81, abs=0.01)


def test_meter_error():
    # French order of 22 Nov 1996, A.1.2: the larger of 0.15 1/m and 10 %
    assert [s.meter_error_per_m(k) for k in (0.0, 1.0, 1.5, 2.5)] == pytest.approx([0.15, 0.15, 0.15, 0.25])


def test_corrected_plate_value():
    # UN R24 from memory: the lower of XM SL/SM and XM + 0.5, by hand
    assert s.corrected_plate_value_per_m(1.5, 1.0, 1.1) == pytest.approx(1.65)
    assert s.corrected_plate_value_per_m(1.5, 0.5, 1.1) == pytest.approx(2.0)


def test_pass_at_once_after_three():
    # UK metered smoke test: mean of three, pass at once when below; limit 2.5 of the French order of 18 June 1991
    found = s.evaluate([1.90, 1.80, 1.85], "free", s.Bound(2.5))
    assert (found.state, found.word) == ("met", "on_plan")
    assert found.mean == pytest.approx(1.85)
    assert found.spread == pytest.approx(0.10)
    assert found.uncertainty == pytest.approx(0.185)  # 10 % of 1.85


def test_above_the_limit_goes_on_to_six_and_the_last_three_count():
    # UK metered smoke test: up to six, always the mean of the last three
    assert s.evaluate([3.0, 2.9, 2.95], "free", s.Bound(2.5)).state == "more"
    found = s.evaluate([3.0, 2.9, 2.95, 2.3, 2.2, 2.25], "free", s.Bound(2.5))
    assert found.counted == (2.3, 2.2, 2.25)
    assert (found.state, found.mean) == ("met", pytest.approx(2.25))
    failed = s.evaluate([3.0, 2.9, 2.95, 2.9, 2.95, 2.92], "free", s.Bound(2.5))
    assert (failed.state, failed.word) == ("not met", "off_plan")


@pytest.mark.parametrize(
    ("snap", "state", "word"),
    [
        # limit 2.5: the error of a meter near 2.4 is 0.24
        (2.0, "met", "on_plan"),
        (2.4, "met", "near_edge"),
        (2.5, "met", "near_edge"),
        (2.6, "not met", "near_edge"),
        (2.9, "not met", "off_plan"),
    ],
)
def test_error_of_the_meter_goes_into_the_verdict(snap, state, word):
    found = s.evaluate([snap] * 6, "free", s.Bound(2.5))
    assert (found.state, found.word) == (state, word)
    if word == "near_edge":
        assert "the meter's error reaches across the limit" in found.sentence


def test_snaps_that_do_not_agree_ask_for_another():
    found = s.evaluate([1.2, 1.5, 1.3], "free", s.Bound(2.5))
    assert (found.state, found.word) == ("more", "")
    assert "0.30 m⁻¹ apart, allowed is 0.25" in found.sentence
    assert s.evaluate([1.5, 1.4, 1.3], "free", s.Bound(2.5)).state == "more"  # a falling row: still clearing
    assert s.evaluate([1.32, 1.31, 1.30], "free", s.Bound(2.5)).state == "met"  # as good as level
    assert s.evaluate([1.0, 1.6, 1.0, 1.6, 1.0, 1.6], "free", s.Bound(2.5)).state == "unsteady"
    # readings that differ but are all far above are still above
    assert s.evaluate([4.0, 4.6, 4.0, 4.6, 4.0, 4.6], "free", s.Bound(2.5)).word == "off_plan"


def test_limit_in_opacity_on_its_own_path():
    # CMVR rule 115(2): 65 Hartridge units, opacity on 0.430 m, is 2.4414 1/m (Beer-Lambert)
    bound = s.Bound(65.0, "opacity", 0.430)
    found = s.evaluate([2.4414] * 3, "free", bound)
    assert found.mean == pytest.approx(65.0, abs=0.01)
    assert s.evaluate([2.0] * 3, "free", bound).word == "on_plan"
    # half width in opacity by hand: half of N(2.2) - N(1.8) on 0.43 m
    wanted = 50 * (math.exp(-1.8 * 0.43) - math.exp(-2.2 * 0.43))
    assert s.evaluate([2.0] * 3, "free", bound).uncertainty == pytest.approx(wanted)


def test_snap_acceleration_says_what_it_leaves_out():
    # SAE J1667 from memory: 5 points of opacity between highest and lowest; on 76 mm 30 % is k 4.693, 36 % is 5.872
    k = [-math.log(1 - n / 100) / 0.076 for n in (30, 32, 36)]
    bound = s.Bound(40.0, "opacity", 0.076)
    found = s.evaluate(k, "snap", bound)
    assert found.spread == pytest.approx(6.0)
    assert found.state == "more"
    done = s.evaluate([k[0], k[1], k[1]], "snap", bound)
    assert (done.state, done.mean) == ("met", pytest.approx((30 + 32 + 32) / 3))
    assert "correction for the air's density" in s.PROCEDURES["snap"].not_done


def test_without_a_limit_there_is_a_mean_and_no_verdict():
    found = s.evaluate([1.0, 1.1, 1.0])
    assert (found.word, found.mean) == ("", pytest.approx(1.0333, abs=1e-4))
    assert "no verdict" in found.sentence
    assert s.evaluate([1.0]).sentence.startswith("2 more measured snaps")
    assert s.evaluate([]).mean is None


def test_bad_input_is_refused_by_name():
    with pytest.raises(OutOfRange, match="snap is -1 1/m; allowed is 0 to 10 1/m"):
        s.evaluate([-1.0])
    with pytest.raises(OutOfRange, match=r"limit is 100 %; allowed is 0\.1 to 99\.9 %"):
        s.Bound(100.0, "opacity", 0.43)
    with pytest.raises(ValueError, match="needs the path"):
        s.Bound(65.0, "opacity")
    with pytest.raises(ValueError, match="7 snaps"):
        s.evaluate([1.0] * 7)
    with pytest.raises(ValueError, match="needs a limit in opacity"):
        s.evaluate([1.0] * 3, "snap", s.Bound(2.5))
    with pytest.raises(ValueError, match="allowed is free, snap"):
        s.evaluate([1.0], "other")
