import numpy as np
import pytest

from sizing.physics.engine import smoke
from sizing.physics.errors import OutOfRange


def test_absorption_from_opacity():
    assert smoke.absorption_per_m(65.0) == pytest.approx(2.4414, abs=0.0005)  # Beer-Lambert on 0.430 m
    # French order of 1963: 60 % on 0.407 m is 2.2513
    assert smoke.absorption_per_m(60.0, 0.407) == pytest.approx(2.2513, abs=0.0005)
    assert smoke.absorption_per_m(0.0) == 0.0


def test_printed_indian_limits():
    # CMVR prints 65 % with 2.45 and 50 % with 1.62 (rounded up, from memory)
    assert smoke.absorption_per_m(65.0) == pytest.approx(2.45, abs=0.011)
    assert smoke.absorption_per_m(50.0) == pytest.approx(1.62, abs=0.011)


def test_opacity_undoes_absorption():
    opacity = np.array([0.0, 1.0, 50.0, 99.9])
    assert smoke.opacity_pct(smoke.absorption_per_m(opacity)) == pytest.approx(opacity)
    assert smoke.opacity_pct(2.4414) == pytest.approx(65.0, abs=0.01)


def test_other_path():
    # 40 CFR 86.884-14(a): 30 % on 76.2 mm is 44.81 % on 127 mm
    assert smoke.opacity_on_other_path_pct(30.0, 0.0762, 0.127) == pytest.approx(44.81, abs=0.01)
    assert smoke.opacity_on_other_path_pct(30.0, 0.43, 0.43) == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (smoke.absorption_per_m, (100.0,)),
        (smoke.absorption_per_m, (-0.1,)),
        (smoke.absorption_per_m, (50.0, 0.0)),
        (smoke.absorption_per_m, (50.0, 430.0)),  # millimetres where metres are meant
        (smoke.opacity_pct, (-0.1,)),
        (smoke.opacity_pct, (20.1,)),
        (smoke.opacity_on_other_path_pct, (100.0, 0.1, 0.1)),
        (smoke.opacity_on_other_path_pct, (50.0, 0.1, 1.1)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
