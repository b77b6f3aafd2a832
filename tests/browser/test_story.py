"""One vehicle through the whole workshop, in a real browser, at phone and at desk width: walk-in to follow-up."""

import re

import pytest
from django.utils import timezone
from playwright.sync_api import expect

from shop.jobs.models import JobCard
from shop.safety.notes import CHECKS
from tests.builders import make_air_cleaner, make_cooler, make_person, make_plunger, make_turbo, make_workshop, today

PASSWORD = "a password for tests"


class Person:
    """Somebody in a browser window of their own."""

    def __init__(self, browser, width: int, base: str, username: str):
        self.context = browser.new_context(viewport={"width": width, "height": 844 if width == 390 else 900})
        self.context.set_default_timeout(20_000)
        self.context.clock.set_system_time(timezone.now())  # a phone or desk that goes by the clock of the test
        self.page, self.base = self.context.new_page(), base
        self.errors: list[str] = []
        self.page.on("console", lambda m: self.errors.append(m.text) if m.type == "error" else None)
        self.page.on("pageerror", lambda e: self.errors.append(str(e)))
        self.go("/log-in/")
        self.fill(username=username, password=PASSWORD)
        self.press("Log in")

    def go(self, path: str):
        self.page.goto(self.base + path)

    def fill(self, **values):
        for name, value in values.items():
            box = self.page.locator(f"main [name='{name.replace('__', '-')}']").first
            if box.evaluate("e => e.tagName") == "SELECT":
                box.select_option(value)
            else:
                box.fill(value)

    def press(self, text: str):
        self.page.locator("main").get_by_role("button", name=text, exact=False).first.click()

    def follow(self, text: str):
        self.page.locator("main").get_by_role("link", name=text, exact=False).first.click()

    def sees(self, text: str):
        expect(self.page.locator("main")).to_contain_text(re.compile(text, re.IGNORECASE))

    def fits(self):
        """No page is wider than the screen that shows it."""
        wide, screen = self.page.evaluate(
            "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
        )
        assert wide <= screen, f"{self.page.url} is {wide} wide on a screen of {screen}"


def take(person: Person, job, phase: str, **values):
    person.go(f"/jobs/{job.pk}/phone/?phase={phase}")
    person.page.wait_for_load_state(
        "networkidle"
    )  # a sheet that was kept may be replaced by a newer one before it is used
    person.page.locator("input[name=step]").first.check()
    person.fill(**values)
    person.fits()
    person.press("Save")


@pytest.mark.browser
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("width", "clock"),
    [(390, "00:30"), (1280, "03:00"), (1280, "12:00"), (390, "23:30")],
    indirect=["clock"],
    ids=["phone-00:30", "desk-03:00", "desk-12:00", "phone-23:30"],
)
def test_one_vehicle_from_walk_in_to_follow_up(chromium, live_server, width):
    make_workshop(altitude_m=2600, pressure_unit="bar")
    for role, name in (("front desk", "ilsa"), ("technician", "tarek"), ("owner", "oona")):
        make_person(role, name)
    turbo, cooler = make_turbo(name="Breeze 49"), make_cooler()
    make_air_cleaner()
    plunger = make_plunger(7.5)
    desk = Person(chromium, width, live_server.url, "ilsa")
    technician = Person(chromium, width, live_server.url, "tarek")
    owner = Person(chromium, width, live_server.url, "oona")

    # Walk-in at the front desk
    desk.sees("Begin with")
    desk.follow("Open a job card")
    desk.fill(
        customer__name="Mirel Tovak",
        customer__phone="+00 555 0171",
        vehicle__registration="HL 4471",
        vehicle__make_and_model="Korvenne Hallow",
        vehicle__use="road",
        vehicle__meter="km",
        job__wish="More pull on the pass",
        job__budget="1800,50",
        job__meter_reading="154000",
    )
    desk.fits()
    desk.press("Open the job card")
    desk.sees("booked")
    job = JobCard.objects.get()

    # Survey and facts by the technician
    technician.go(f"/jobs/{job.pk}/facts/")
    technician.fill(
        displacement_l_low="2,5",
        displacement_l_origin="book",
        cylinder_count_low="4",
        cylinder_count_origin="book",
        compression_ratio_low="21",
        compression_ratio_high="22",
        compression_ratio_origin="book",
        injection_text="indirect",
        injection_origin="measured",
        rated_power_kw_low="55",
        rated_power_kw_origin="book",
        rated_speed_rpm_low="4000",
        rated_speed_rpm_origin="book",
        plunger_diameter_mm_low="5,5",
        plunger_diameter_mm_high="6",
        plunger_diameter_mm_origin="told",
    )
    technician.fits()
    technician.press("Store the facts")
    technician.sees("5.5 to 6 mm")
    technician.go(f"/jobs/{job.pk}/survey/new/")
    technician.fill(compression_low_bar="28,5", compression_high_bar="30")
    for name in ("oil_state", "coolant_state", "leak_state"):
        technician.fill(**{name: "good"})
    technician.page.locator("input[name=verdict][value=fit]").check()
    technician.fits()
    technician.press("Store the survey")
    technician.sees("survey says fit")
    technician.press("Move to: surveyed")
    technician.sees("The job is now: surveyed")

    # Baseline, with the phone
    take(technician, job, "before", exhaust_temperature_c="520", smoke_opacity_pct="38", oil_pressure_kpa="3,5")
    technician.sees("520")

    # Plan by the owner
    owner.go(f"/jobs/{job.pk}/plans/new/")
    owner.fill(
        title="First stage", boost_low_kpa="0,8", turbo=str(turbo.pk), cooler=str(cooler.pk), plunger=str(plunger.pk)
    )
    owner.fits()
    owner.press("Work it out")
    owner.sees("First stage")
    owner.follow("First stage")
    owner.sees("lambda")
    owner.fits()
    owner.go(f"/jobs/{job.pk}/")
    owner.press("Move to: planned")

    # Quote
    desk.go(f"/jobs/{job.pk}/quotes/new/")
    desk.fill(
        **{
            "lines-0-text": "Turbo, cooler, pipes",
            "lines-0-unit_price": "900",
            "lines-1-text": "Fitting",
            "lines-1-quantity": "12,5",
            "lines-1-unit_price": "30",
        }
    )
    desk.press("Store the quote")
    desk.sees("1275.00")
    desk.press("It was given to the customer")
    desk.page.locator("input[name=agreed][value=yes]").check()
    desk.fill(answered_by="Mirel Tovak")
    desk.press("Store the answer")
    desk.press("Move to: agreed")
    desk.sees("The job is now: agreed")

    # Fitting and safety
    technician.go(f"/jobs/{job.pk}/")
    technician.press("Move to: fitting")
    technician.go(f"/jobs/{job.pk}/fitments/new/")
    technician.fill(turbo=str(turbo.pk), cooler=str(cooler.pk), plunger_diameter_mm="7,5", delivery_mm3="52")
    technician.fits()
    technician.press("Store what was fitted")
    technician.go(f"/jobs/{job.pk}/safety/")
    for _ in CHECKS:
        technician.press("I have looked. Sign.")
    technician.sees("All checks are signed")
    technician.fits()
    technician.go(f"/jobs/{job.pk}/")
    technician.press("Move to: proving")
    technician.sees("The job is now: proving")

    # Proving run
    technician.go(f"/jobs/{job.pk}/phone/?phase=after")
    technician.press("Start")
    take(
        technician,
        job,
        "after",
        boost_kpa="0,78",
        exhaust_temperature_c="560",
        smoke_opacity_pct="12",
        charge_temperature_c="62",
        oil_pressure_kpa="3,4",
    )
    technician.sees("on plan|near the edge|off plan|stop")

    # Decision, hand-over, follow-up
    owner.go(f"/jobs/{job.pk}/proving/")
    owner.page.locator("input[name=decision][value=keep]").check()
    owner.fill(reason="boost and heat as planned")
    owner.fits()
    owner.press("Decide")
    owner.sees("boost and heat as planned")
    owner.go(f"/jobs/{job.pk}/before-after/")
    owner.sees("520")
    owner.sees("560")
    owner.fits()
    desk.go(f"/jobs/{job.pk}/hand-over/")
    desk.fill(received_by="Mirel Tovak", meter_reading="154050")
    desk.fits()
    desk.press("Hand over")
    job.refresh_from_db()
    assert job.stage == "handed_over"
    desk.go(f"/jobs/{job.pk}/follow-ups/new/")
    desk.fill(on=today().isoformat(), way="phone", meter_reading="160000", text="pulls well")
    desk.press("Store the follow-up")
    desk.sees("pulls well")
    owner.go("/review/")
    owner.sees("Breeze 49")
    owner.fits()
    for person in (desk, technician, owner):
        assert person.errors == []
        person.context.close()
