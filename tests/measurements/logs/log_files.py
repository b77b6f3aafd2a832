"""Logs of our own making, for tests."""

import math


def rows_of(seconds: float, step: float, row) -> list[str]:
    return [row(i * step) for i in range(round(seconds / step) + 1)]


def pull_log(boost_top_kpa: float = 82.0, heat_top_c: float = 640.0, spike: bool = False) -> bytes:
    """Ten seconds idle, eight seconds of full pedal from 1400 to 3800 rpm, ten seconds idle; 10 rows a second."""

    def row(t: float) -> str:
        share = min(max((t - 10.0) / 8.0, 0.0), 1.0)
        full = 10.0 <= t <= 18.0
        speed = 1400 + 2400 * share if full else 850.0
        boost = boost_top_kpa * min(share * 2, 1.0) if full else 0.0
        heat = 250 + (heat_top_c - 250) * share if full else 250.0
        fuel = 81.8 if spike and math.isclose(t, 5.0) else 1.5
        return f"{t:.1f},{speed:.1f},{100 if full else 0},{boost:.2f},{heat:.1f},{fuel}"

    return (
        "\n".join(
            ["time_s,engine_speed_rpm,pedal_pct,boost_kPa,egt_C,fuel_rate_L_per_h", *rows_of(28, 0.1, row)]
        ).encode()
        + b"\n"
    )


def run_up_log() -> bytes:
    """Full pedal for a second without load: the engine runs up, boost does not come."""

    def row(t: float) -> str:
        full = 5.0 <= t <= 6.0
        return f"{t:.1f},{850 + 3000 * max(0, min(t - 5, 1)) if t < 7 else 850:.0f},{100 if full else 0},{2 if full else 0}"

    return "\n".join(["time_s,rpm,pedal_pct,boost_kPa", *rows_of(12, 0.1, row)]).encode() + b"\n"


NO_TIME = b"rpm,boost_kPa,egt_C\n900,0,200\n1000,1,210\n1100,2,220\n"
NO_SPEED = b"time_s,boost_kPa,egt_C\n0,0,200\n1,1,210\n2,2,220\n"
ONE_COLUMN = b"boost_kPa\n1\n2\n3\n4\n"
PHOTO = b"\xff\xd8\xff\xe0\x00\x10JFIF\x00\x01" + bytes(range(256)) * 8
UNCLOSED = b'time_s,rpm,boost_kPa\n0,900,1\n1,"910,2\n2,920,3\n'
