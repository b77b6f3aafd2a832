"""What each role may do on this floor."""

from shop.access.roles import DESK, OWNER, TECHNICIAN

VIEW_ALL = ["measurements.view_reading"]
GRANTS = {
    DESK: [*VIEW_ALL, "measurements.add_logfile", "measurements.add_powercurve"],
    TECHNICIAN: [
        *VIEW_ALL,
        "measurements.add_reading",
        "measurements.add_logfile",
        "measurements.add_powercurve",
        "measurements.add_provingrun",
    ],
}
GRANTS[OWNER] = sorted(
    {
        *GRANTS[DESK],
        *GRANTS[TECHNICIAN],
        "measurements.decide_provingrun",
        "measurements.add_instrument",
        "measurements.change_instrument",
        "measurements.add_intaketoken",
        "measurements.add_smokelimit",
        "measurements.change_smokelimit",
        "measurements.view_review",
    }
)
