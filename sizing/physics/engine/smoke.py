"""Smoke: opacity and light absorption coefficient."""

from __future__ import annotations

import numpy as np

from sizing.physics import spans
from sizing.physics.errors import Floats
from sizing.physics.ranges import Numbers, takes

STANDARD_PATH_M = 0.430  # effective length of the usual partial-flow opacimeter


@takes(opacity_pct=spans.OPACITY_PCT.of("opacity; full darkness has no finite k and is refused"), path_m=spans.PATH_M)
def absorption_per_m(opacity_pct: Numbers, path_m: Numbers = STANDARD_PATH_M) -> Floats:
    """Light absorption coefficient k from opacity.

    Returns: coefficient k, shape of the inputs together [1/m].
    Source: Beer-Lambert law.

    >>> round(float(absorption_per_m(65.0)), 3)
    2.441
    """
    return -np.log1p(-opacity_pct / 100.0) / path_m


@takes(absorption_per_m=spans.ABSORPTION_PER_M.of("coefficient k"), path_m=spans.PATH_M)
def opacity_pct(absorption_per_m: Numbers, path_m: Numbers = STANDARD_PATH_M) -> Floats:
    """Opacity from the light absorption coefficient k.

    Returns: opacity, shape of the inputs together [%].
    Source: Beer-Lambert law.

    >>> round(float(opacity_pct(2.4414)), 1)
    65.0
    """
    return -100.0 * np.expm1(-absorption_per_m * path_m)


@takes(
    opacity_pct=spans.OPACITY_PCT.of("opacity as measured"),
    path_m=spans.PATH_M.of("path on which it was measured"),
    other_path_m=spans.PATH_M.of("path for which it is wanted"),
)
def opacity_on_other_path_pct(opacity_pct: Numbers, path_m: Numbers, other_path_m: Numbers) -> Floats:
    """Opacity as it would read on another optical path.

    Returns: opacity on the other path, shape of the inputs together [%].
    Source: 40 CFR 86.884-14(a).

    >>> round(float(opacity_on_other_path_pct(30.0, 0.0762, 0.127)), 1)
    44.8
    """
    return 100.0 * (1.0 - (1.0 - opacity_pct / 100.0) ** (other_path_m / path_m))
