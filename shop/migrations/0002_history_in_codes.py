"""The history of a job as codes with values. What the sentences of the first version said is read back into them; what
cannot be read stays as it is under the code `told`. What the floor above wrote is `told` here, too: its own migration
reads it."""

import re

from django.db import migrations, models

from shop.migrations._prose import REAL, WHOLE, Rule, Shape, listed, number, one_of, parse, said, told

STAGE = one_of("stage", {
    "booked": "booked", "surveyed": "surveyed", "planned": "planned", "agreed": "agreed", "fitting": "fitting",
    "proving": "proving", "handed_over": "handed over", "called_off": "called off",
})
JOB_FIELD = one_of("job_field", {
    "wish": "what the customer wants", "budget": "budget", "due_on": "due day", "meter_reading": "meter reading on arrival",
})
CHECKS = {
    "oil": "Oil reaches the turbo", "stop": "The engine can be stopped", "fuel_lines": "Fuel lines tight",
    "pipes": "Pipes clean and tight", "hot_side": "Hot side clear", "brakes": "Brakes, steering, tyres",
    "air": "Air to breathe", "people": "People know their place",
}
CHECK = one_of("safety_check", CHECKS)
VERDICT = one_of("survey_verdict", {"fit": "fit", "repairs": "fit after these repairs", "unfit": "not fit"})
WAY = one_of("follow_up_way", {"phone": "phone call", "visit": "visit", "message": "message"})
PART = one_of("failed_part", {
    "turbo_bearing": "turbo bearing", "turbo_wheel": "turbo wheel", "turbo_housing": "turbo housing",
    "head_gasket": "head gasket", "piston": "piston or rings", "crank_bearing": "crank bearing", "injector": "injector",
    "pump": "injection pump", "cooler": "charge air cooler", "pipework": "pipework or hose",
    "clutch": "clutch or drivetrain", "other": "something else",
})


def _meter(text):
    value, _, unit = text.partition(" ")
    return {"way": "meter", "value": number(value), "unit": unit}


METER = Shape(r"[\d.]+(?:e[-+]?\d+)?(?: (?:km|h))?", _meter)
BEFORE = Shape(".+?", lambda text: {"code": "job.empty", "values": {}} if text == "empty" else text)
CAUSE = Shape(".+?", lambda text: {"code": "failure.cause_not_known", "values": {}} if text == "not known" else text)

CHANGE = Rule("job.change", "{field}: {before} to {after}", once=(" to ",), field=JOB_FIELD, before=BEFORE, after=BEFORE)
MISSING = [
    (r"The survey sheet has not been filled in\.", "move.no_survey"),
    (r"There is no current plan\.", "move.no_plan"),
    (r"No quote has been agreed by the customer\.", "move.no_agreed_quote"),
    (r"It is not recorded which turbo and plunger were fitted\.", "move.no_fitment"),
]


def _missing(text):
    """What was passed over, one after the other; the rest, which the floor above or a person wrote, as it is."""
    parts = []
    while text:
        for pattern, code in MISSING:
            found = re.match(f"{pattern}(?: |$)", text)
            if found:
                parts.append({"code": code, "values": {}})
                text = text[found.end():]
                break
        else:
            if text.startswith("The survey says: not fit. "):
                parts.append({"code": "move.survey_unfit_because", "values": {"why": text[26:]}})
            elif text == "The survey says: not fit.":
                parts.append({"code": "move.survey_unfit", "values": {}})
            else:
                parts.append(told(text))
            text = ""
    return {"way": "listed", "parts": parts, "between": " "}


RULES = {
    "opened": [Rule("job.opened", "job card opened: {wish}")],
    "changed": [Rule("job.changed", "{changes}", changes=listed(said(CHANGE), "; "))],
    "photo": [Rule("job.photo_of", "photo added: {caption}"), Rule("job.photo", "photo added")],
    "move": [
        Rule("job.moved_past", "{from} to {to}, past: {missing}", **{"from": STAGE, "to": STAGE, "missing": Shape(".+", _missing)}),
        Rule("job.moved_because", "{from} to {to}: {reason}", **{"from": STAGE, "to": STAGE}),
        Rule("job.moved", "{from} to {to}", **{"from": STAGE, "to": STAGE}),
    ],
    "plan": [
        Rule("plan.added", "plan {position} added: {title}", position=WHOLE),
        Rule("plan.chosen", "plan {position} is the current one: {reason}", position=WHOLE),
    ],
    "survey": [
        Rule("survey.stored_because", "survey says {verdict}: {why}", verdict=VERDICT),
        Rule("survey.stored", "survey says {verdict}", verdict=VERDICT),
    ],
    "quote": [
        Rule("quote.written", "quote {number} written: {total}", number=WHOLE),
        Rule("quote.given", "quote {number} given to the customer", number=WHOLE),
        Rule("quote.agreed", "quote {number} agreed by {by}", number=WHOLE),
        Rule("quote.declined", "quote {number} declined by {by}", number=WHOLE),
    ],
    "hand_over": [Rule("job.handed_over", "handed over to {received_by}")],
    "fitment": [Rule("fitting.fitted", "fitted: {turbo} with a {plunger_mm} mm plunger", plunger_mm=REAL)],
    "part": [Rule("fitting.part", "fitted: {quantity} x {part}", quantity=WHOLE)],
    "safety": [
        Rule("safety.signed_with_note", "safety check signed: {check}. {note}", check=CHECK),
        Rule("safety.signed", "safety check signed: {check}", check=CHECK),
    ],
    "follow_up": [
        Rule("follow_up.told_at", "{way} at {meter}: {text}", way=WAY, meter=METER),
        Rule("follow_up.told", "{way}: {text}", way=WAY),
    ],
    "failure": [
        Rule("failure.told_at", "failed: {part} at {meter}; cause: {cause}; said by {said_by}",
             once=("; cause: ", "; said by "), part=PART, meter=METER, cause=CAUSE),
        Rule("failure.told", "failed: {part}; cause: {cause}; said by {said_by}",
             once=("; cause: ", "; said by "), part=PART, cause=CAUSE),
    ],
}  # fmt: skip


def into_codes(apps, schema_editor):
    events = apps.get_model("shop", "JobEvent").objects.using(schema_editor.connection.alias)
    rows = []
    for event in events.order_by("pk").iterator(chunk_size=2000):
        found = parse(event.text, RULES.get(event.kind, [])) or told(event.text)
        event.code, event.values = found["code"], found["values"]
        rows.append(event)
        if len(rows) == 2000:
            events.bulk_update(rows, ["code", "values"], batch_size=500)
            rows = []
    events.bulk_update(rows, ["code", "values"], batch_size=500)


class Migration(migrations.Migration):

    dependencies = [
        ('shop', '0001_first_version'),
    ]

    operations = [
        migrations.AddField(
            model_name='jobevent',
            name='code',
            field=models.CharField(default='told', max_length=48, verbose_name='what happened'),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name='jobevent',
            name='values',
            field=models.JSONField(default=dict, verbose_name='with which values, in stored units'),
        ),
        migrations.AddField(
            model_name='jobphoto',
            name='about',
            field=models.JSONField(blank=True, default=dict, verbose_name='what it shows as a value, where no person wrote it'),
        ),
        migrations.RunPython(into_codes),
    ]
