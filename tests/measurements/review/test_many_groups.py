"""The quick curve of many groups against scipy's curve of each."""

import numpy as np
import pytest

from measurements.review.survival import survival, survival_at


@pytest.mark.parametrize("month", [0, 12, 24, 60, 200])
def test_many_groups_at_once_say_what_scipys_curve_of_each_says(month):
    draws = np.random.default_rng(1)
    group, failed = draws.integers(0, 60, 900), draws.random(900) < 0.3
    months = draws.integers(0, 90, 900)
    found = survival_at(month, group, months, failed, 60)
    curves = [survival(months[group == k], failed[group == k]) for k in range(60)]  # scipy.stats.ecdf
    assert sum(curve.too_few for curve in curves) < 30
    for one, curve in zip(found, curves, strict=True):
        alone = curve if curve.too_few else curve.at(month)
        assert type(one) is type(alone)
        if one.too_few:
            assert one == alone
        else:
            assert one.at_risk == alone.at_risk
            both = np.array([[x.survival, x.low, x.high] for x in (one, alone)], dtype=np.float64)  # None becomes nan
            np.testing.assert_allclose(both[0], both[1], rtol=1e-12)
