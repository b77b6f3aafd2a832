"""A code with its values is kept as JSON and says the same when it comes back."""

import json
import math

import pytest

from sizing.said import Said


@pytest.mark.parametrize("figure", [math.inf, -math.inf, math.nan, 1e308])
def test_a_figure_beyond_what_json_knows_is_kept_all_the_same(figure):
    """RFC 8259, section 6: Infinity and NaN are not permitted, and databases refuse them."""
    values = {"quantity": "rpm", "what": {"way": "figure", "of": "speed_rpm", "value": figure}, "height": figure}
    kept = json.dumps(Said("told", {"text": "x", **values}).kept(), allow_nan=False)
    back = Said.of(json.loads(kept))
    assert str(back) == "x"
    assert str(Said("figure.span", {"low": values["what"], "high": figure})) == str(
        Said.of(json.loads(json.dumps(Said("figure.span", {"low": values["what"], "high": figure}).kept())))
    )
