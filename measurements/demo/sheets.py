"""What the people write down: facts with where they come from, the survey sheet, the plan's inputs, the quote."""

from datetime import timedelta
from decimal import Decimal

import numpy as np

from measurements.demo.fleet import Visit
from measurements.demo.truth import COOLER, compensator_lambda_ratio, has_compensator

HOUR_PRICE = Decimal(38)


def fact_statements(case: Visit, origin: str) -> dict[str, tuple]:
    """Told at the counter, read off the plate at the survey, measured at the strip: each better than the one before."""
    engine = case.engine
    if origin == "told":
        power = engine.rated_power_kw
        return {
            "displacement_l": (engine.displacement_l, engine.displacement_l, "", "told"),
            "rated_power_kw": (round(power * 0.95), round(power * 1.08), "", "told"),
            "injection": (None, None, engine.injection, "told"),
        }
    if origin == "book":
        ratio = engine.compression_ratio
        return {
            "displacement_l": (engine.displacement_l, engine.displacement_l, "", "book"),
            "injection": (None, None, engine.injection, "book"),
            "cylinder_count": (engine.cylinders, engine.cylinders, "", "book"),
            "bore_mm": (engine.bore_mm, engine.bore_mm, "", "book"),
            "stroke_mm": (engine.stroke_mm, engine.stroke_mm, "", "book"),
            "compression_ratio": (ratio - 0.5, ratio + 0.5, "", "book"),
            "rated_power_kw": (engine.rated_power_kw, engine.rated_power_kw, "", "book"),
            "rated_speed_rpm": (engine.rated_speed_rpm, engine.rated_speed_rpm, "", "book"),
            "governed_speed_rpm": (engine.governed_speed_rpm, engine.governed_speed_rpm, "", "book"),
            "pump_kind": (None, None, "rotary" if engine.pump == "Rov-4" else "inline", "measured"),
            "governor_kind": (None, None, engine.governor, "measured"),
            "plunger_diameter_mm": (engine.plunger_mm - 0.5, engine.plunger_mm + 0.5, "", "guessed"),
            "emission_equipment": (None, None, "none found", "measured"),
        }
    return {
        "plunger_diameter_mm": (engine.plunger_mm, engine.plunger_mm, "", "measured"),
        "injection_pressure_bar": (145, 155, "", "measured"),
    }


def plan_inputs(case: Visit) -> dict[str, tuple]:
    """What the owner adds to the facts: weather, losses, the cooler's part and the delivery aimed at."""
    inputs = {
        "boost_kpa": (case.boost_kpa - 4, case.boost_kpa + 4, "guessed"),
        "air_temperature_c": (4.0, 26.0, "told"),
        "air_cleaner_loss_kpa": (1.6, 3.0, "guessed"),
        "delivery_mm3": (round(case.delivery_plan_mm3 * 0.96, 1), round(case.delivery_plan_mm3 * 1.04, 1), "guessed"),
        "plunger_diameter_as_built_mm": (case.engine.plunger_mm - 0.5, case.engine.plunger_mm + 0.5, "guessed"),
    }
    if has_compensator(case):
        set_to = compensator_lambda_ratio(case)
        inputs["compensator_lambda_ratio"] = (round(set_to - 0.02, 2), round(set_to + 0.02, 2), "guessed")
    if case.has_cooler:
        effectiveness, loss_kpa = COOLER[case.engine.cooler]
        inputs["cooler_effectiveness_ratio"] = (effectiveness - 0.05, effectiveness + 0.05, "book")
        inputs["cooler_pressure_loss_kpa"] = (loss_kpa - 1.5, loss_kpa + 1.5, "book")
    return inputs


def survey_fields(case: Visit) -> dict:
    """The survey sheet, from the wear that it cannot see but feels."""
    rng, hidden, engine = case.rng, case.hidden, case.engine
    on = case.at(1).date()
    wear = hidden.wear
    # Cranking at 2,600 m: about 0.74 bar to start from, worn rings leak.
    best = 0.74 * hidden.compression_ratio**1.27 * (1 - 0.16 * wear) - 0.74
    lowest = best * (1 - 0.05 - 0.22 * wear**2)
    verdict = "unfit" if wear > 0.80 else "repairs" if wear > 0.52 else "fit"
    repairs = {
        "unfit": "Compression too low and uneven, blow-by high: it needs an overhaul first.",
        "repairs": "Valve stem seals, injectors set to pressure, radiator cleaned.",
        "fit": "",
    }[verdict]

    def state(threshold: float) -> str:
        return "repair" if wear + float(rng.normal(0, 0.12)) > threshold else "good"

    def days_ago(most: int) -> object:
        return on - timedelta(days=int(rng.integers(10, most)))

    return {
        "compression_low_bar": round(lowest, 1), "compression_high_bar": round(best, 1),
        "blow_by_l_min": round(engine.displacement_l * (8 + 32 * wear), 0),
        "oil_pressure_idle_kpa": round(190 - 90 * wear, -1), "oil_pressure_rated_kpa": round(450 - 120 * wear, -1),
        "oil_state": state(0.75), "coolant_state": state(0.8), "filter_state": state(0.6), "leak_state": state(0.65),
        "injector_state": state(0.55), "mount_state": state(0.7), "clutch_state": state(0.75) if case.model.use == "road" else "good",
        "cooling_state": state(0.65),
        "oil_changed_on": days_ago(int(120 + 500 * (1 - hidden.oil_care))), "air_filter_changed_on": days_ago(400),
        "fuel_filter_changed_on": days_ago(500) if rng.random() < 0.7 else None,
        "coolant_changed_on": days_ago(1500) if rng.random() < 0.4 else None,
        "space_length_mm": float(rng.integers(260, 420)), "space_width_mm": float(rng.integers(220, 330)),
        "space_height_mm": float(rng.integers(220, 340)),
        "boost_tap": "plug on the intake manifold, M10", "exhaust_temperature_tap": "to be drilled in the manifold, 1/8 inch",
        "emission_equipment": "none found", "verdict": verdict, "repairs": repairs,
    }  # fmt: skip


def quote_lines(case: Visit, parts: dict) -> list[tuple]:
    """Parts at catalogue price, labour by the hour, the bench outside."""
    engine = case.engine
    lines = [
        ("part", f"Turbo {parts['turbo']}", Decimal(1), Decimal(parts["turbo"].price)),
        ("part", f"Plungers {case.plunger_mm:g} mm", Decimal(engine.cylinders), Decimal(26)),
        ("part", "Manifold adapter, oil feed and drain, gaskets", Decimal(1), Decimal(60 + 25 * engine.cylinders)),
        ("part", f"Air cleaner {parts['air_cleaner']}", Decimal(1), Decimal(parts["air_cleaner"].price)),
        ("outside", "Pump bench", Decimal(1), Decimal(120 + 20 * engine.cylinders)),
        ("labour", "Fitting and proving", Decimal(int(np.ceil(9 + engine.displacement_l * 1.5))), HOUR_PRICE),
    ]
    if parts["cooler"]:
        lines.append(("part", f"Cooler {parts['cooler']} with pipes", Decimal(1), Decimal(parts["cooler"].price) + 90))
    return lines
