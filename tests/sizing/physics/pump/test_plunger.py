import numpy as np
import pytest

from sizing.physics.errors import OutOfRange
from sizing.physics.pump import plunger as pump


def test_bound_is_the_inverse_of_the_stroke():
    stroke = pump.effective_stroke_for_mm(45.0, 6.0, 150.0, 2000.0)
    assert pump.delivery_bound_mm3(6.0, stroke, 150.0, 2000.0) == pytest.approx(45.0)


def test_bound_against_book_examples():
    volume = 7000.0 + pump.line_volume_mm3(3.0, 700.0) + 3000.0
    assert pump.delivery_bound_mm3(8.0, 7.65, 199.0, volume) == pytest.approx(150.0, abs=1.5)  # 79e-6, not 78.8e-6
    with pytest.raises(OutOfRange, match="left after fuel compression"):
        pump.delivery_bound_mm3(6.0, 1.0, 600.0, 5000.0)


def test_a_larger_plunger_delivers_with_the_square_of_its_diameter():
    # common practice: 5.75 to 7.25 mm is 1.59 times the fuel at equal rack
    assert pump.delivery_after_plunger_change_mm3(40.0, 5.75, 7.25) / 40.0 == pytest.approx(1.59, abs=0.005)
    # textbook areas 19.635 and 50.265 mm²
    assert pump.delivery_after_plunger_change_mm3(10.0, 5.0, 8.0) == pytest.approx(10 * 50.265 / 19.635, rel=1e-4)


def test_fuel_flow():
    # Mathur & Sharma 12.1: 57.7 mm³, 6 cylinders, 2500 rpm, 0.84 is 21.805 kg/h
    assert pump.fuel_flow_kg_s(57.7, 840.0, 2500.0, 6) * 3600 == pytest.approx(21.805, rel=0.001)
    assert pump.delivery_for_flow_mm3(89 * 0.245 / 3600, 840.0, 2500.0, 6) == pytest.approx(57.7, abs=0.05)
    # 80 cm³ per 1000 strokes is 80 mm³ a stroke: 1000 strokes a minute of fuel at 1000 kg/m³ are 80 g
    assert pump.fuel_flow_kg_s(80.0, 1000.0, 2000.0, 1) * 60 == pytest.approx(0.080)


def test_duration():
    assert pump.duration_ms(30.0, 1500.0) == pytest.approx(3.333, abs=0.001)  # angle / (6 n)
    assert pump.duration_ms(15.0, 2500.0) == pytest.approx(1.0)  # Gupta: 15 degrees at 2500 rpm last 1 ms


def test_governor_run_down_is_a_straight_line():
    # common practice
    shares = pump.governed_share([1000.0, 4000.0, 4100.0, 4400.0], 4000.0, 4400.0)
    assert shares == pytest.approx([1.0, 1.0, 0.75, 0.0])


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (pump.plunger_area_mm2, (3.9,)),
        (pump.plunger_area_mm2, (20.1,)),
        (pump.geometric_delivery_mm3, (8.0, -0.1)),
        (pump.geometric_delivery_mm3, (8.0, 20.1)),
        (pump.fuel_compression_mm3, (-1.0, 1000.0)),
        (pump.fuel_compression_mm3, (1501.0, 1000.0)),
        (pump.fuel_compression_mm3, (100.0, 30_001.0)),
        (pump.fuel_compression_mm3, (100.0, 1000.0, 0.0)),
        (pump.line_volume_mm3, (0.4, 100.0)),
        (pump.line_volume_mm3, (2.0, 3001.0)),
        (pump.effective_stroke_for_mm, (0.5, 8.0, 100.0, 1000.0)),
        (pump.delivery_after_plunger_change_mm3, (0.5, 6.0, 7.0)),
        (pump.delivery_after_plunger_change_mm3, (40.0, 3.0, 7.0)),
        (pump.fuel_flow_kg_s, (-1.0, 840.0, 2000.0, 4)),
        (pump.fuel_flow_kg_s, (50.0, 0.84, 2000.0, 4)),  # kg/L where kg/m³ is meant
        (pump.fuel_flow_kg_s, (50.0, 840.0, 8001.0, 4)),
        (pump.fuel_flow_kg_s, (50.0, 840.0, 2000.0, 0)),
        (pump.delivery_for_flow_mm3, (0.6, 840.0, 2000.0, 4)),
        (pump.delivery_for_flow_mm3, (0.005, 840.0, 99.0, 4)),
        (pump.duration_ms, (91.0, 2000.0)),
        (pump.duration_ms, (30.0, 0.0)),
        (pump.governed_share, (4401.0, 4000.0, 4400.0)),
        (pump.governed_share, (3000.0, 4000.0, 4005.0)),
        (pump.governed_share, (np.nan, 4000.0, 4400.0)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
