import numpy as np
import pytest

from sizing.physics.compressor import work as compressor
from sizing.physics.compressor.map import build_map
from sizing.physics.compressor.tables import MapTables
from sizing.physics.errors import OutOfRange
from tests.reference import rows_of

# A line and its neighbour by the similarity laws of fans and compressors (textbook): flow with speed,
# isentropic work with speed squared.
FLOW, RATIO, EFFICIENCY = [0.050, 0.062, 0.072, 0.078], [1.95, 1.92, 1.80, 1.50], [0.68, 0.74, 0.73, 0.60]


def by_similarity(share):
    work = (np.array(RATIO) ** (2 / 7) - 1) * share**2
    return np.array(FLOW) * share, (1 + work) ** 3.5


def small_map(**change):
    flow2, ratio2 = by_similarity(1.2)
    points = {"speed_rpm": [100e3] * 4 + [120e3] * 4, "flow_kg_s": [*FLOW, *flow2], "pressure_ratio": [*RATIO, *ratio2],
                  "efficiency_ratio": EFFICIENCY * 2, "reference_temperature_c": 25.0, "reference_pressure_kpa": 100.0}  # fmt: skip
    return build_map(**{**points, **change})


@pytest.fixture(scope="module")
def measured():
    """NASA radial compressor: corrected speed rpm, flow kg/s, total pressure ratio, efficiency, line in per cent."""
    rows = rows_of("compressor-archive.csv")
    points = np.array([[r["NCRPM"], r["MDOTC"] * 0.45359237, r["TPR70"], r["ETA70"]] for r in rows])
    return points, np.array([5 * round(r["NC"] / 5) for r in rows])


def nasa(points):
    return build_map(*points.T, reference_temperature_c=15.0, reference_pressure_kpa=101.325)


def test_the_measured_points_come_back(measured):
    points, _ = measured
    chart = nasa(points)
    found = chart.at(points[:, 1], points[:, 2])
    assert found.speed_rpm == pytest.approx(points[:, 0], rel=0.002)
    assert found.efficiency_ratio == pytest.approx(points[:, 3], abs=0.002)


def test_efficiency_of_the_archive_follows_from_its_temperatures():
    rows = rows_of("compressor-archive.csv")
    kelvin, rise, ratio, printed = np.array([[r["T00"] / 1.8, r["TTR70"], r["TPR70"], r["ETA70"]] for r in rows]).T
    found = compressor.efficiency_ratio(kelvin - 273.15, kelvin * (1 + rise) - 273.15, ratio)
    assert printed.size == 92
    assert found == pytest.approx(printed, abs=0.012)


@pytest.mark.parametrize("left_out", [75, 85, 90, 95, 100])
def test_a_line_left_out_is_predicted(measured, left_out):
    """Each measured point found by its flow and pressure ratio among the other lines."""
    points, line = measured
    chart = nasa(points[line != left_out])
    held = points[(line == left_out) & (points[:, 3] > 0.70)]
    found = chart.at(held[:, 1], held[:, 2])
    assert np.mean(np.abs(found.efficiency_ratio - held[:, 3])) < 0.015
    # the predicted line passes the point at this pressure ratio, on the same ray of the map
    work = (held[:, 2] ** (2 / 7) - 1) * (held[:, 0] / found.speed_rpm) ** 2
    assert np.mean(np.abs((1 + work) ** 3.5 / held[:, 2] - 1)) < 0.02


@pytest.mark.parametrize("left_out", [75, 85, 90, 95, 100])
def test_a_line_left_out_is_predicted_at_its_speed_and_throttle(measured, left_out):
    """Pairs as the rig was run: speed and the setting of the throttle behind it (isentropic work over flow squared) are
    what was set; flow, pressure ratio and efficiency are what followed."""
    points, line = measured
    chart = nasa(points[line != left_out])
    held = points[(line == left_out) & (points[:, 3] > 0.70)]
    speed, flow = held[:, 0], held[:, 1]
    throttle = (held[:, 2] ** (2 / 7) - 1) / flow**2
    low, high = 0.5 * flow, chart.choke_flow_kg_s(speed)
    for _ in range(50):
        middle = (low + high) / 2
        open_too_far = (chart.at_speed(speed, middle).pressure_ratio ** (2 / 7) - 1) / middle**2 < throttle
        low, high = np.where(open_too_far, low, middle), np.where(open_too_far, middle, high)
    found = chart.at_speed(speed, low)
    assert np.mean(np.abs(low / flow - 1)) < 0.01
    assert np.mean(np.abs(found.pressure_ratio / held[:, 2] - 1)) < 0.02
    assert np.mean(np.abs(found.efficiency_ratio - held[:, 3])) < 0.015


@pytest.mark.parametrize("left_out", [75, 85, 90, 95, 100])
def test_a_line_left_out_is_predicted_at_its_speed_and_flow(measured, left_out):
    """All points above 0.70, the upright ones at choke too, where the measured flow itself scatters by 0.2 % and one flow has
    many pressure ratios: there the map answers from the last half per cent before choke."""
    points, line = measured
    chart = nasa(points[line != left_out])
    held = points[(line == left_out) & (points[:, 3] > 0.70)]
    found = chart.at_speed(held[:, 0], held[:, 1])
    assert len(held) >= 8
    assert np.mean(np.abs(found.pressure_ratio / held[:, 2] - 1)) < 0.02
    assert np.mean(np.abs(found.efficiency_ratio - held[:, 3])) < 0.015
    inside = found.surge_margin_ratio > 0.02
    assert not np.any(found.outside & inside & (held[:, 1] < 0.99 * chart.choke_flow_kg_s(held[:, 0])))


def test_the_quick_tables_say_what_the_map_says(measured):
    """Speed and efficiency over a dense cloud of points against the exact search."""
    points, _ = measured
    rng = np.random.default_rng(3)
    maps = (small_map(), nasa(points))
    tables = MapTables(maps)
    assert len(maps[1].lines) == 7
    for k, chart in enumerate(maps):
        speed = np.exp(rng.uniform(*np.log(chart.line_speeds_rpm[[0, -1]] * [0.3, 1.03]), 5000))
        flow = chart.choke_flow_kg_s(speed) * rng.uniform(0.3, 0.994, speed.size)
        exact = chart.at_speed(speed, flow)
        log_speed, efficiency = tables.bound(np.full(speed.size, k)).look(flow, exact.pressure_ratio ** (2 / 7) - 1)
        clear = exact.pressure_ratio > 1.01
        assert clear.sum() > 4000
        assert np.exp(log_speed)[clear] == pytest.approx(speed[clear], rel=0.004)
        assert efficiency[clear] == pytest.approx(exact.efficiency_ratio[clear], abs=0.006)
        again = chart.nearest(flow, exact.pressure_ratio, log_speed)
        plain = chart.nearest(flow, exact.pressure_ratio)
        assert again.speed_rpm == pytest.approx(plain.speed_rpm, rel=2e-4)
        assert again.efficiency_ratio == pytest.approx(plain.efficiency_ratio, abs=5e-4)


def test_surge_and_choke_ends_of_the_measured_map(measured):
    points, line = measured
    chart = nasa(points)
    for percent in (70, 85, 100):
        own = points[line == percent]
        speed = own[:, 0].mean()
        assert chart.choke_flow_kg_s(speed) == pytest.approx(own[:, 1].max(), rel=0.005)
        assert chart.surge_flow_kg_s(speed) == pytest.approx(own[:, 1].min(), rel=0.005)


def test_between_lines_it_rises_with_speed_and_flow_falls_with_pressure():
    chart = small_map()
    speeds = np.linspace(100e3, 120e3, 40)
    ratios = chart.at_speed(speeds, 0.068).pressure_ratio
    assert np.all(np.diff(ratios) > 0)
    flows = np.linspace(0.056, 0.085, 60)
    assert np.all(np.diff(chart.at_speed(110e3, flows).pressure_ratio) < 1e-9)


def test_the_two_ways_of_asking_agree():
    chart = small_map()
    speed, flow = np.meshgrid(np.linspace(60e3, 124e3, 12), np.linspace(0.6, 0.97, 9))
    flow = flow * chart.choke_flow_kg_s(speed)
    one = chart.at_speed(speed, flow)
    other = chart.at(flow, one.pressure_ratio)
    assert other.speed_rpm == pytest.approx(speed, rel=2e-3)
    assert other.efficiency_ratio == pytest.approx(one.efficiency_ratio, abs=2e-3)


def test_similarity_below_the_slowest_line_and_it_is_said():
    chart = small_map()
    flow, ratio = by_similarity(0.5)
    found = chart.at(flow, ratio)
    assert found.speed_rpm == pytest.approx(50e3, rel=0.003)
    assert found.efficiency_ratio == pytest.approx(EFFICIENCY, abs=0.004)
    assert np.all(found.outside)
    assert not chart.at(0.065, 2.2).outside


def test_past_surge_and_choke_is_said():
    chart = small_map()
    surging = chart.at(0.030, 2.0)
    assert surging.outside
    assert surging.surge_margin_ratio < 0
    choked = chart.at(0.0779, 1.25)
    assert choked.outside
    assert choked.choke_margin_ratio < 0.02
    assert choked.efficiency_ratio < 0.5


def test_another_reference_state_moves_the_flow():
    # the bases 288.15 K / 101.325 kPa and 302.6 K / 96.2 kPa differ by up to 8 % in flow
    one, other = small_map(), small_map(reference_temperature_c=15.0, reference_pressure_kpa=101.325)
    heavy = small_map(reference_temperature_c=29.45, reference_pressure_kpa=96.2)
    assert one.correct(0.07, 25.0, 100.0) == pytest.approx(0.07)
    assert other.correct(0.07, 25.0, 100.0) / heavy.correct(0.07, 25.0, 100.0) == pytest.approx(1.08, abs=0.005)
    assert other.real_speed_rpm(100e3, 25.0) == pytest.approx(100e3 * np.sqrt(298.15 / 288.15))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"efficiency_ratio": [68, 74, 73, 60] * 2}, "not per cent"),
        ({"pressure_ratio": [0.9] * 8}, "pressure ratio is 0.9"),
        ({"flow_kg_s": [0.0] * 8}, "flow kg s is 0"),
        ({"speed_rpm": [10.0] * 8}, "speed rpm is 10"),
        ({"speed_rpm": [100e3] * 8}, "two speed lines or more"),
        ({"speed_rpm": [100e3] * 6 + [120e3] * 2}, "has 2 points"),
        ({"flow_kg_s": [0.05]}, "equal length"),
        ({"reference_pressure_kpa": 14.7}, "reference pressure kpa is 14.7"),
        ({"reference_temperature_c": 298.0}, "reference temperature c is 298"),
        ({"speed_rpm": [120e3] * 4 + [100e3] * 4}, "cross"),
    ],
)
def test_a_bad_map_is_refused_in_words(change, words):
    with pytest.raises(ValueError, match=words):
        small_map(**change)


def test_points_off_the_map_are_refused():
    chart = small_map()
    with pytest.raises(OutOfRange, match="fastest line"):
        chart.at(0.07, 4.5)
    with pytest.raises(OutOfRange, match="slowest line"):
        chart.at(0.002, 1.005)
    with pytest.raises(OutOfRange, match="flow over choke flow"):
        chart.at_speed(100e3, 0.1)
    with pytest.raises(OutOfRange, match="speed rpm"):
        chart.at_speed(200e3, 0.05)
