import ht
import numpy as np
import pytest

from sizing.physics.around import cooler
from sizing.physics.errors import OutOfRange


def test_outlet_temperature():
    # definition; fluids: 118.28 °C behind the compressor, effectiveness 0.7 against 25 °C leaves 52.98 °C
    assert cooler.cooled_temperature_c(118.28, 25.0, 0.7) == pytest.approx(52.98, abs=0.01)
    assert cooler.cooled_temperature_c(118.28, 25.0, 0.0) == pytest.approx(118.28)
    assert cooler.cooled_temperature_c(118.28, 25.0, 1.0) == pytest.approx(25.0)


def test_outlet_against_ht():
    # ht.effectiveness_NTU_method solves the same cooler from both flows
    solved = ht.effectiveness_NTU_method(mh=0.1, mc=0.2, Cph=1007.0, Cpc=1007.0, Thi=150.0, Tci=30.0, UA=120.0,
                                         subtype="counterflow")  # fmt: skip
    units, ratio = 120.0 / (0.1 * 1007.0), 0.5
    own = cooler.cooled_temperature_c(150.0, 30.0, cooler.counterflow_effectiveness_ratio(units, ratio))
    assert own == pytest.approx(solved["Tho"], abs=0.01)


def test_effectiveness_from_readings():
    assert cooler.effectiveness_from_readings_ratio(118.28, 52.98, 25.0) == pytest.approx(0.7, abs=0.001)
    assert cooler.effectiveness_from_readings_ratio(60.0, 60.0, 25.0) == pytest.approx(0.0)


def test_counterflow():
    # ht: 0.7746 at NTU 2, Cr 0.5. Cengel example 11.8: 0.428571 at NTU 0.6524, Cr 5.016/8.62
    assert cooler.counterflow_effectiveness_ratio(2.0, 0.5) == pytest.approx(0.7746, abs=0.0005)
    assert cooler.counterflow_effectiveness_ratio(0.6524, 5.016 / 8.62) == pytest.approx(0.428571, abs=0.0005)
    for units in (0.0, 0.5, 3.0, 15.0):
        for ratio in (0.0, 0.3, 0.999, 1.0):
            expected = ht.effectiveness_from_NTU(NTU=units, Cr=ratio, subtype="counterflow")
            assert cooler.counterflow_effectiveness_ratio(units, ratio) == pytest.approx(expected, abs=1e-6)


def test_crossflow():
    # ht, exact series: 0.7324 at NTU 2, Cr 0.5; the closed form is about 1 % high
    assert cooler.crossflow_effectiveness_ratio(2.0, 0.5) == pytest.approx(0.7324, abs=0.009)
    # Incropera example 11.4, read from a chart: 0.82 at NTU 2.67, Cr 0.357 (ht 0.836)
    assert cooler.crossflow_effectiveness_ratio(2.67, 0.357) == pytest.approx(0.82, abs=0.025)
    for units in (0.2, 1.0, 4.0):
        for ratio in (0.05, 0.5, 1.0):
            expected = ht.effectiveness_from_NTU(NTU=units, Cr=ratio, subtype="crossflow")
            assert cooler.crossflow_effectiveness_ratio(units, ratio) == pytest.approx(expected, abs=0.015)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (cooler.cooled_temperature_c, (401.0, 25.0, 0.7)),
        (cooler.cooled_temperature_c, (100.0, 121.0, 0.7)),
        (cooler.cooled_temperature_c, (100.0, 25.0, 1.01)),
        (cooler.cooled_temperature_c, (100.0, 25.0, -0.01)),
        (cooler.effectiveness_from_readings_ratio, (100.0, 50.0, 96.0)),
        (cooler.counterflow_effectiveness_ratio, (-0.1, 0.5)),
        (cooler.counterflow_effectiveness_ratio, (1.0, 1.1)),
        (cooler.crossflow_effectiveness_ratio, (11.0, 0.5)),
        (cooler.crossflow_effectiveness_ratio, (1.0, 0.0)),
        (cooler.crossflow_effectiveness_ratio, (np.nan, 0.5)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
