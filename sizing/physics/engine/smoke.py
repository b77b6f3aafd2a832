"""Smoke: opacity and light absorption coefficient."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sizing.physics.errors import Floats, require

STANDARD_PATH_M = 0.430  # effective length of the usual partial-flow opacimeter


def absorption_per_m(opacity_pct: ArrayLike, path_m: ArrayLike = STANDARD_PATH_M) -> Floats:
    """Light absorption coefficient k from opacity.

    Parameters
    ----------
    opacity_pct : float or array
        Opacity, 0 to 99.9; full darkness has no finite k and is refused [%]
    path_m : float or array
        Effective optical path of the instrument, 0.03 to 1 [m]

    Returns
    -------
    array
        Coefficient k, shape of the inputs together [1/m]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(absorption_per_m(65.0)), 3)
    2.441

    References
    ----------
    Beer-Lambert law.
    """
    opacity = require("opacity_pct", opacity_pct, 0.0, 99.9, "%")
    path = require("path_m", path_m, 0.03, 1.0, "m")
    return -np.log1p(-opacity / 100.0) / path


def opacity_pct(absorption_per_m: ArrayLike, path_m: ArrayLike = STANDARD_PATH_M) -> Floats:
    """Opacity from the light absorption coefficient k.

    Parameters
    ----------
    absorption_per_m : float or array
        Coefficient k, 0 to 20 [1/m]
    path_m : float or array
        Effective optical path of the instrument, 0.03 to 1 [m]

    Returns
    -------
    array
        Opacity, shape of the inputs together [%]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(opacity_pct(2.4414)), 1)
    65.0

    References
    ----------
    Beer-Lambert law.
    """
    k = require("absorption_per_m", absorption_per_m, 0.0, 20.0, "1/m")
    path = require("path_m", path_m, 0.03, 1.0, "m")
    return -100.0 * np.expm1(-k * path)


def opacity_on_other_path_pct(opacity_pct: ArrayLike, path_m: ArrayLike, other_path_m: ArrayLike) -> Floats:
    """Opacity as it would read on another optical path.

    Parameters
    ----------
    opacity_pct : float or array
        Opacity as measured, 0 to 99.9 [%]
    path_m : float or array
        Path on which it was measured, 0.03 to 1 [m]
    other_path_m : float or array
        Path for which it is wanted, 0.03 to 1 [m]

    Returns
    -------
    array
        Opacity on the other path, shape of the inputs together [%]

    Raises
    ------
    OutOfRange
        If an input is outside its range.

    Examples
    --------
    >>> round(float(opacity_on_other_path_pct(30.0, 0.0762, 0.127)), 1)
    44.8

    References
    ----------
    40 CFR 86.884-14(a).
    """
    opacity = require("opacity_pct", opacity_pct, 0.0, 99.9, "%")
    path = require("path_m", path_m, 0.03, 1.0, "m")
    other = require("other_path_m", other_path_m, 0.03, 1.0, "m")
    return 100.0 * (1.0 - (1.0 - opacity / 100.0) ** (other / path))
