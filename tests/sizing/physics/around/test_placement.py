import pytest

from sizing.physics.around import placement
from sizing.physics.errors import OutOfRange


@pytest.mark.parametrize(
    ("space", "expected"),
    [
        ((260, 230, 200), "on_plan"),  # 30 mm and more over a box of 200 x 180 x 160
        ((230, 260, 200), "on_plan"),  # the same space turned on its upright: the shaft turns with it
        ((220, 200, 175), "near_edge"),
        ((199, 170, 300), "off_plan"),
    ],
)
def test_envelope_by_geometry(space, expected):
    found = placement.fit_envelope((200.0, 180.0, 160.0), space)
    assert found.verdict == expected
    assert sorted(found.turned) == [160.0, 180.0, 200.0]


def test_a_turbo_is_not_stood_on_end():
    # common practice: the shaft lies level. 300 mm long fits a space 320 high only if stood up.
    assert placement.fit_envelope((300.0, 150.0, 150.0), (200.0, 200.0, 340.0)).verdict == "off_plan"
    assert (
        placement.fit_envelope((300.0, 150.0, 150.0), (200.0, 200.0, 340.0), shaft_stays_level=False).verdict
        == "on_plan"
    )


def test_what_is_short_is_named():
    assert (
        placement.fit_envelope((300.0, 150.0, 150.0), (280.0, 200.0, 200.0)).why == "the space is 20 mm short in length"
    )


@pytest.mark.parametrize(
    ("outlet", "wanted", "step", "turn", "off"),
    [
        (90, 150, None, 60, 0),
        (350, 20, None, 30, 0),
        (10, 340, None, -30, 0),
        (90, 150, 45, 45, 15),
        (0, 180, 60, -180, 0),
    ],
)
def test_clocking_by_geometry(outlet, wanted, step, turn, off):
    found = placement.clock_housing(outlet, wanted, step)
    assert found.turn_deg == pytest.approx(turn)
    assert found.off_by_deg == pytest.approx(off)
    assert found.verdict == ("on_plan" if off <= 10 else "off_plan")


@pytest.mark.parametrize(
    ("angle", "height", "bore", "expected"),
    [
        (10, 200, 16, "on_plan"), (30, 200, 16, "near_edge"), (35, 200, 16, "near_edge"),
        (36, 200, 16, "off_plan"), (10, 200, 8, "off_plan"), (10, 0, 16, "stop"), (95, 200, 16, "stop"),
    ],
)  # fmt: skip
def test_drain_by_common_practice(angle, height, bore, expected):
    assert placement.check_drain(angle, height, bore)[0] == expected


def test_flanges_and_ports():
    assert placement.match_flange("Four bolt 50", "four  BOLT 50").meets
    assert (
        placement.match_flange("Four bolt 50", "three bolt 45").adapter
        == "adapter plate from three bolt 45 to Four bolt 50"
    )
    assert placement.match_port(51.0, 52.5).meets
    with pytest.raises(ValueError, match="flange of the manifold is not known"):
        placement.match_flange("four bolt", "  ")


@pytest.mark.parametrize(
    ("function", "arguments"),
    [
        (placement.fit_envelope, ((9.0, 100.0, 100.0), (200.0, 200.0, 200.0))),
        (placement.fit_envelope, ((100.0, 100.0, 100.0), (200.0, 200.0, 3001.0))),
        (placement.fit_envelope, ((100.0, 100.0, 100.0), (200.0, 200.0, 200.0), -1.0)),
        (placement.clock_housing, (361.0, 0.0)),
        (placement.clock_housing, (0.0, 0.0, 0.5)),
        (placement.check_drain, (181.0, 100.0, 16.0)),
        (placement.check_drain, (10.0, 100.0, 2.0)),
        (placement.match_port, (9.0, 51.0)),
        (placement.match_port, (51.0, 301.0)),
    ],
)
def test_out_of_range(function, arguments):
    with pytest.raises(OutOfRange):
        function(*arguments)
