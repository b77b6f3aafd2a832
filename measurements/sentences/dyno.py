"""What has to be said of a full-load curve from a brake, a drum or the road, and of its correction, by code."""

from django.utils.translation import gettext_lazy as _

from measurements.bench.dyno.correction import RATIO_PLACES
from measurements.bench.dyno.forms import FORMS
from measurements.bench.dyno.runs import FLYWHEEL, TAKE_OFF, WHEELS
from sizing.said import add_sentences
from sizing.ways import add_words

add_words(
    dyno_setup=[(f"{kind}.{name}", form.base_fields[name].label) for kind, form in FORMS.items() for name in form.own],
    ratio_place=RATIO_PLACES.items(),
    curve_place=[(FLYWHEEL, _("flywheel")), (TAKE_OFF, _("power take-off")), (WHEELS, _("wheels"))],
)

add_sentences(
    {
        "dyno.driveline_not_measured": _(
            "Driveline loss was not measured; 10 to 18 %% is common (from memory) and was not added."
        ),
        "dyno.at_take_off": _("Measured at a power take-off: the loss in its gears is still in it."),
        "dyno.beyond_run_down": _(
            "The run goes beyond the speeds of the run-down; its losses are carried on from the fit there."
        ),
        "dyno.engine_inertia_not_counted": _(
            "The engine's own inertia was not counted: torque is a little low, most in low gears."
        ),
        "dyno.still_air": _("Still air is taken for granted: run both ways and compare."),
        "dyno.as_exact_as": _("Plus or minus is what %(instrument)s is trusted with."),
        "dyno.not_engine_power": _(
            "The standards correct engine power; here the power at the %(place)s was corrected, its losses with it."
        ),
        "correction.not_given": _("Not corrected to standard air: %(missing)s not given. The power is as measured."),
        "correction.needs.engine_class": _("engine class"),
        "correction.needs.air_temperature": _("air temperature"),
        "correction.needs.air_pressure": _("air pressure"),
        "correction.needs.humidity": _("relative humidity"),
        "correction.needs.delivery": _("delivery"),
        "correction.needs.cylinders": _("cylinders"),
        "correction.needs.fuel_density": _("fuel density"),
        "correction.needs.displacement": _("displacement"),
        "correction.needs.boost": _("boost at highest power"),
        "correction.mechanical_only": _(
            "Made for mechanical pumps. A later revision of SAE J1349 calls this correction no longer suitable for "
            "electronically controlled diesels."
        ),
        "correction.standards_part": _(
            "Corrected fuel parameter %(fuel_mg).1f mg per litre and cycle lies below 40, where the standards part: "
            "UN Regulation 85 holds the engine factor at 0.3 below 40, ISO 1585 (from memory) lets it fall on to 0.2 "
            "at 37.2. Here that is %(r85).3f against %(iso1585).3f, a correction factor of %(factor_r85).4f against "
            "%(factor_iso1585).4f with the same air."
        ),
        "correction.dry_pressure_outside": _(
            "Dry air pressure %(dry_kpa).1f kPa is outside 80 to 110 kPa, the range of UN Regulation 85 and ISO 1585."
        ),
        "correction.air_outside": _(
            "Intake air %(air_c).1f °C (%(air_k).1f K) is outside 283 to 313 K, about 10 to 40 °C, "
            "the range of UN Regulation 85 and ISO 1585."
        ),
        "correction.factor_outside": _(
            "Correction factor %(factor).4f is outside 0.9 to 1.1, the range of UN Regulation 85 and ISO 1585."
        ),
        "correction.as_measured": _(
            "The power stays as measured, in the air it was measured in; it is not called a corrected power, and "
            "nothing is claimed of what the engine would give at sea level."
        ),
        "correction.ratio_place": _("Pressure ratio: %(place)s."),
        "correction.other_ratio_place": _(
            "Pressure ratio was read %(place)s; %(standard)s as recalled takes it %(usual)s. "
            "The engine factor is a little high for it."
        ),
    }
)
