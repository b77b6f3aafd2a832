"""One vehicle from walk-in to its last follow-up, through the same actions that the pages use."""

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

import numpy as np

from measurements.bench.curves import actions as curves
from measurements.demo import names, wear
from measurements.demo.benches import record_run, record_smoke
from measurements.demo.catalogue import Catalogue
from measurements.demo.fleet import Visit
from measurements.demo.logs import record_log
from measurements.demo.sheets import fact_statements, plan_inputs, quote_lines, survey_fields
from measurements.demo.truth import Gauges, air_pressure_kpa
from measurements.proving import actions as proving
from measurements.proving import moves
from measurements.readings import actions as readings
from measurements.readings.instruments import Instrument
from shop.access.models import Person
from shop.fitting import actions as fitments
from shop.follow_up import actions as follow_ups
from shop.jobs import actions as jobs
from shop.jobs.models import JobCard
from shop.jobs.moves import move_job
from shop.jobs.plans import attach_plan, inputs_from_facts
from shop.papers import actions as quotes
from shop.people.models import Customer, Vehicle
from shop.safety import actions as safety
from shop.safety.notes import CHECKS
from shop.survey import actions as facts
from shop.survey import actions as surveys
from sizing.plans.actions import make_plan
from sizing.plans.models import Plan

# Days after the job was opened on which each thing is usually done.
SURVEY, BASELINE, PLAN, QUOTE, ANSWER, STRIP, FIT, PROVE, AGAIN, HAND_OVER = 1, 2, 4, 5, 9, 13, 17, 20, 22, 24
LOGGED_EVERY = 17
BENCHED_EVERY = 16  # of the jobs: torque and power with their record, and a smoke test, before and after
_ANY_PHASE = {"smoke_k_per_m": "tail_pipe", "oil_pressure_kpa": "main_gallery"}
PLACES = {
    "before": {**_ANY_PHASE, "exhaust_temperature_c": "exhaust_port"},
    "after": {
        **_ANY_PHASE, "exhaust_temperature_c": "before_turbine", "boost_kpa": "intake_manifold",
        "charge_temperature_c": "intake_manifold",
    },
}  # fmt: skip


@dataclass(frozen=True)
class Crew:
    desk: Person
    technician: Person
    owner: Person


@dataclass
class Story:
    case: Visit
    crew: Crew
    catalogue: Catalogue
    gauge: dict[str, Instrument]
    today: date

    def tell(self) -> JobCard:
        """Live through the job as far as it has come by today."""
        case, crew = self.case, self.crew
        self.gauges = Gauges(case)
        self._walk_in()
        if case.end == "booked":
            return self.job
        self._survey()
        if case.end == "unfit":
            self._call_off("The survey says it is not fit; the customer takes it home.", SURVEY, crew.owner)
            return self.job
        self._move("surveyed", crew.technician, SURVEY, 11)
        self._baseline()
        for stage, step in (
            ("surveyed", None), ("planned", self._plan), ("agreed", self._agree), ("fitting", self._strip),
            ("proving", self._prove),
        ):  # fmt: skip
            if step is not None and step() is False:
                return self.job
            if case.end == stage:
                return self.job
        self._hand_over()
        self._afterwards()
        return self.job

    def _move(self, to: str, by: Person, day: int, hour: int, reason: str = "") -> None:
        moved = moves.move_on(self.job, to, by, reason, at=self.case.at(day, hour)).job
        self.job.stage, self.job.version = moved.stage, moved.version

    def _call_off(self, reason: str, day: int, by: Person) -> None:
        move_job(self.job, "called_off", by, reason, at=self.case.at(day, 16))

    def _walk_in(self) -> None:
        case, rng, model = self.case, self.case.rng, self.case.model
        language = names.LANGUAGES[int(rng.integers(len(names.LANGUAGES)))]
        customer = Customer.objects.create(name=names.person(rng), phone=names.phone_number(rng), language=language)
        self.vehicle = Vehicle.objects.create(
            customer=customer, registration=names.registration(model.use, case.number + 1),
            make_and_model=model.make_and_model, engine_name=case.engine.name, year=int(rng.integers(*model.years)),
            use=model.use, meter=model.meter,
        )  # fmt: skip
        self.job = jobs.open_job(
            self.vehicle, str(rng.choice(model.wishes)), self.crew.desk,
            budget=Decimal(int(rng.integers(14, 36)) * 100) if rng.random() < 0.6 else None,
            due_on=case.at(HAND_OVER + int(rng.integers(2, 9))).date(), meter_reading=case.meter_start,
            at=case.at(0, 8 + int(rng.integers(0, 8)), int(rng.integers(0, 60))),
        )  # fmt: skip
        if case.number % 3 == 0 or case.end == "booked":
            facts.record_facts(self.vehicle, fact_statements(case, "told"), self.crew.desk, at=case.at(0, 17))

    def _survey(self) -> None:
        case, at = self.case, self.case.at(SURVEY, 9, 30)
        facts.record_facts(self.vehicle, fact_statements(case, "book"), self.crew.technician, at=at)
        surveys.record_survey(self.job, self.crew.technician, at=case.at(SURVEY, 10, 30), **survey_fields(case))

    def _points(self, phase: str, day: int, figures: dict[str, np.ndarray], run=None) -> None:
        """Stop at each speed of the sheet and write down what the gauges say."""
        case, at = self.case, self.case.at(day, 14)
        conditions = {
            "air_temperature_c": float(round(case.air_temperature_c(day))),
            "air_pressure_kpa": air_pressure_kpa(case, day),
        }
        stops = []
        for i in range(2 if phase == "before" else 1, len(case.speeds_rpm)):
            speed = float(case.speeds_rpm[i])
            values = self._read(phase, speed, {name: float(column[i]) for name, column in figures.items()})
            if phase == "after" and i == len(case.speeds_rpm) - 1:
                clogged = case.hidden.fault == "cleaner" and figures is case.first_run
                values["restriction_kpa"] = self.gauges.restriction_kpa(speed, clogged)
            stops.append(
                readings.Stop(
                    speed, 100.0, values, PLACES[phase], {slug: self.gauge[slug] for slug in values},
                    at + timedelta(minutes=6 * i), **conditions,
                )
            )  # fmt: skip
        readings.record_new_points(self.job, phase, stops, self.crew.technician, run)

    def _read(self, phase: str, speed_rpm: float, true: dict[str, float]) -> dict[str, float]:
        slugs = ["exhaust_temperature_c"] + ["boost_kpa", "charge_temperature_c"] * (phase == "after")
        return {slug: self.gauges.read(slug, true[slug]) for slug in slugs} | {
            "smoke_k_per_m": self.gauges.smoke(true["lambda_ratio"]),
            "oil_pressure_kpa": self.gauges.oil_pressure_kpa(speed_rpm),
        }

    def _curve(self, phase: str, day: int, figures: dict[str, np.ndarray], run=None) -> None:
        if self.case.number % BENCHED_EVERY == 0:
            record_run(
                self.case,
                self.job,
                phase,
                day,
                figures,
                self.crew.technician,
                self.gauge["torque_nm"],
                16 if phase == "after" else 15,
            )
            record_smoke(self.case, self.job, phase, day, figures, self.crew.technician, self.gauge["smoke_k_per_m"])
            return
        if self.case.number % 4:
            return
        kind, plus_minus = ("brake", 2.0) if self.case.model.use == "field" else ("drum", 4.0)
        error = 1.0 + self.case.rng.normal(0, plus_minus / 300)
        torque = [round(float(t) * error, 1) for t in figures["torque_nm"]]
        curves.record_curve(
            self.job, phase, kind, list(zip(self.case.speeds_rpm.tolist(), torque, strict=True)), self.crew.technician,
            run=run, uncertainty_pct=plus_minus, at=self.case.at(day, 15),
        )  # fmt: skip

    def _baseline(self) -> None:
        if self.case.end != "surveyed":
            self._points("before", BASELINE, self.case.before)
            self._curve("before", BASELINE, self.case.before)

    def _parts(self) -> dict:
        case, stock = self.case, self.catalogue
        return {
            "turbo": stock.turbos[case.turbo],
            "cooler": stock.coolers[case.engine.cooler] if case.has_cooler else None,
            "air_cleaner": stock.cleaners[case.engine.cleaner],
        }

    def _plan(self) -> None:
        case, at = self.case, self.case.at(PLAN, 10)
        title = f"{case.turbo}, {case.plunger_mm:g} mm plunger{', cooler' if case.has_cooler else ''}"
        plunger = self.catalogue.plungers[case.engine.pump, case.plunger_mm]
        inputs = inputs_from_facts(self.job) | plan_inputs(case)
        self.plan: Plan = make_plan(title, case.engine.injection, inputs, plunger=plunger, at=at, **self._parts())
        attach_plan(self.job, self.plan, self.crew.owner, at=at)
        self._move("planned", self.crew.owner, PLAN, 11)

    def _agree(self) -> bool | None:
        case, crew = self.case, self.crew
        quote = quotes.make_quote(
            self.job, quote_lines(case, self._parts()), crew.desk, at=case.at(QUOTE, 9),
            valid_until=case.at(QUOTE + 30).date(), terms="Half on ordering, half on collection.",
        )  # fmt: skip
        quote = quotes.give_quote(quote, crew.desk, at=case.at(QUOTE, 10))
        said_by = self.vehicle.customer.name
        agreed = case.end != "declined"
        quotes.answer_quote(quote, agreed, said_by, crew.desk, at=case.at(ANSWER, 9))
        if not agreed:
            self._call_off("The customer finds it too dear.", ANSWER, crew.owner)
            return False
        self._move("agreed", crew.desk, ANSWER, 10)
        return None

    def _strip(self) -> None:
        case, crew = self.case, self.crew
        self._move("fitting", crew.technician, STRIP, 8)
        facts.record_facts(self.vehicle, fact_statements(case, "measured"), crew.technician, at=case.at(STRIP, 15))
        if case.end == "fitting" and case.number % 2:
            return
        self._fit(FIT, "")

    def _fit(self, day: int, note: str) -> None:
        case, crew = self.case, self.crew
        parts = self._parts()
        fitments.record_fitment(
            self.job, crew.technician, at=case.at(day, 11), turbo=parts["turbo"], cooler=parts["cooler"],
            air_cleaner=parts["air_cleaner"], pump=self.catalogue.pumps[case.engine.pump],
            plunger_diameter_mm=case.plunger_mm, delivery_mm3=case.delivery_plan_mm3, note=note,
            turbo_serial=f"{parts['turbo'].name}-{10_000 + case.number * 37}",
        )  # fmt: skip
        if not note:
            fitments.record_part(self.job, "oil feed and drain, gaskets", crew.technician, at=case.at(day, 12))
        slugs = [check.slug for check in CHECKS]
        signed = slugs[: case.number % 5] if case.end == "fitting" else slugs
        safety.sign_off_many(self.job, signed, crew.technician, at=case.at(day, 15))

    def _prove(self) -> None:
        case = self.case
        self._move("proving", self.crew.technician, PROVE, 9)
        run = proving.start_run(self.job, self.crew.technician, at=case.at(PROVE, 13))
        if case.end == "proving" and case.number % 2:
            return
        figures = case.first_run if case.hidden.fault else case.after
        self._points("after", PROVE, figures, run)
        if case.hidden.fault:
            run = self._prove_again(run)
        self._curve("after", AGAIN if case.hidden.fault else PROVE, case.after, run)
        if case.number % LOGGED_EVERY == 0 and case.model.use == "road":
            day = AGAIN if case.hidden.fault else PROVE
            record_log(case, self.job, run, self.crew.technician, case.at(day, 17), self.gauge)
        if case.end != "proving":
            self._decide(run)

    def _prove_again(self, run):
        found = {
            "leak": "Boost too low at every speed: hose behind the compressor leaks. New clamp and hose.",
            "overfuel": "Too hot and it smokes: delivery above the plan. Rack set back on the bench.",
            "cleaner": "Restriction too high: the old element was left in. New element.",
        }[self.case.hidden.fault]
        proving.decide(run, "change", found, self.crew.owner, at=self.case.at(PROVE, 16))
        self._move("fitting", self.crew.technician, AGAIN, 8, found)
        self._fit(AGAIN, found)
        self._move("proving", self.crew.technician, AGAIN, 16)
        run = proving.start_run(self.job, self.crew.technician, at=self.case.at(AGAIN, 16, 10))
        self._points("after", AGAIN, self.case.after, run)
        return run

    def _decide(self, run) -> None:
        case = self.case
        day = AGAIN if case.hidden.fault else PROVE
        heat = float(case.after["exhaust_temperature_c"].max())
        later = not case.has_cooler and heat > 635 and case.number % 3 == 0
        reason = f"Boost and exhaust temperature as planned, hottest about {round(heat, -1):.0f} °C before the turbine."
        if later:
            reason = f"Good as it is, but hot at the top (about {round(heat, -1):.0f} °C). A cooler is the next stage."
        proving.decide(
            run, "next" if later else "keep", reason, self.crew.owner, at=case.at(day, 17, 30),
            next_title=f"{self.plan.title}, with cooler"[:120] if later else "",
        )  # fmt: skip

    def _hand_over(self) -> None:
        case = self.case
        day = HAND_OVER + int(case.rng.integers(0, 4))
        at = case.at(day, 16)
        self.handed_on = at.date()
        self.meter = None if case.meter_start is None else round(case.meter_start + float(case.rng.uniform(2, 30)))
        moves.hand_over_job(
            self.job, self.handed_on, self.vehicle.customer.name, self.crew.desk,
            meter_reading=self.meter if case.rng.random() < 0.93 else None, at=at,
        )  # fmt: skip

    def _meter_after(self, hours: float | None) -> float | None:
        if hours is None or self.meter is None:
            return None
        factor = self.case.model.km_an_hour if self.case.model.meter == "km" else 1.0
        return float(round(self.meter + hours * factor))

    def _afterwards(self) -> None:
        case, crew = self.case, self.crew
        broken = wear.failures(case, self.handed_on, self.today)
        until = next((b.on for b in broken if b.counts), self.today)
        for call in wear.calls(case, self.handed_on, until, self.today):
            at = case.at((call.on - case.opened_on).days, 11)
            follow_ups.record_follow_up(
                self.job, call.on, call.way, call.text, crew.desk, self._meter_after(call.hours), at=at
            )
        for item in broken:
            at = case.at((item.on - case.opened_on).days, 10)
            follow_ups.record_failure(
                self.job, item.on, item.part, item.said_by, crew.desk, self._meter_after(item.hours), item.cause,
                item.counts, at=at,
            )  # fmt: skip
