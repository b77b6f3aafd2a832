import numpy as np
import pytest

from sizing.physics.errors import OutOfRange, require


def test_the_message_names_input_value_and_range():
    with pytest.raises(OutOfRange, match=r"boost kpa is 900 kPa; allowed is 0 to 400 kPa") as caught:
        require("boost_kpa", 900, 0, 400, "kPa")
    assert (caught.value.name, caught.value.value, caught.value.high) == ("boost_kpa", 900, 400)


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf, [1.0, np.nan], "much", None])
def test_what_is_no_number_is_refused(bad):
    with pytest.raises(OutOfRange):
        require("speed_rpm", bad, 0, 100, "rpm")


def test_the_first_bad_element_is_shown():
    with pytest.raises(OutOfRange, match="is 7"):
        require("x", [[1.0, 2.0], [7.0, 9.0]], 0, 5, "")


def test_both_ends_are_allowed():
    assert require("x", [0.0, 5.0], 0, 5, "").tolist() == [0.0, 5.0]
