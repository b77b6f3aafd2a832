"""What a log can and cannot show, and what is said of a curve and its correction, as codes with values; and what this floor wrote into the history of jobs, which the
floor below left under the code `told`. What cannot be read stays as it is under that code."""

from django.db import migrations, models

from measurements.migrations._prose import (
    EVENTS, FINDINGS, NOT_CORRECTED, PASSED_OVER, REFUSED, REMARKS, SETUP, SHEETS, passed_over, place, reasons,
)  # fmt: skip
from shop.migrations._prose import parse, told


def _events(apps, alias):
    events = apps.get_model("shop", "JobEvent").objects.using(alias)
    rows = []
    for event in events.filter(code__in=["told", "job.moved_past"]).order_by("pk").iterator(chunk_size=2000):
        if event.code == "told":
            found = parse(event.values["text"], EVENTS.get(event.kind, []))
            if found is None:
                continue
            event.code, event.values = found["code"], found["values"]
        else:
            parts = []
            for part in event.values["missing"]["parts"]:
                pieces = passed_over(part["values"]["text"]) if part["code"] == "told" else []
                parts += [parse(piece, PASSED_OVER) or told(piece) for piece in pieces] or [part]
            event.values["missing"]["parts"] = parts
        rows.append(event)
        if len(rows) == 2000:
            events.bulk_update(rows, ["code", "values"], batch_size=500)
            rows = []
    events.bulk_update(rows, ["code", "values"], batch_size=500)


def _photos(apps, alias):
    """A photo of a guided sheet is named after its sheet, and so is its row in the history."""
    events = apps.get_model("shop", "JobEvent").objects.using(alias)
    for row in apps.get_model("measurements", "SheetPhoto").objects.using(alias).select_related("photo"):
        photo, title = row.photo, SHEETS.get(row.sheet)
        if photo.caption != title:
            continue
        photo.caption, photo.about = "", {"way": "word", "of": "guided_sheet", "value": row.sheet}
        photo.save(update_fields=["caption", "about"])
        for event in events.filter(job=photo.job_id, code="job.photo_of", at=photo.at, by=photo.by_id):
            if event.values["caption"] == title:
                event.values["caption"] = photo.about
                event.save(update_fields=["values"])


def into_codes(apps, schema_editor):
    alias = schema_editor.connection.alias
    _events(apps, alias)
    _dyno(apps, alias)
    _photos(apps, alias)
    logs = apps.get_model("measurements", "LogFile").objects.using(alias)
    for log in logs.order_by("pk").iterator(chunk_size=500):
        refused = parse(log.finding, REFUSED) if log.state == "refused" else None
        lines = [] if refused else log.finding.splitlines()
        log.findings = [refused] if refused else [parse(line, FINDINGS) or told(line) for line in lines]
        log.place = place(log.part_label, log.name.lower().endswith(".xlsx"))
        log.save(update_fields=["findings", "place"])


def _dyno(apps, alias):
    """A note that only repeated where a curve holds goes: the place stands with the run."""
    for test in apps.get_model("measurements", "DynoTest").objects.using(alias).select_related("curve").order_by("pk"):
        test.refusals = [parse(piece, NOT_CORRECTED) or told(piece) for piece in reasons(test.refusal)]
        test.remarks = [parse(line, REMARKS) or told(line) for line in test.notes.splitlines()]
        codes = SETUP.get(test.curve.kind, {})
        test.setup = [
            [f"{test.curve.kind}.{codes[label]}" if label in codes else label, *rest] for label, *rest in test.setup
        ]
        test.save(update_fields=["refusals", "remarks", "setup"])
        if test.curve.note == f"at the {test.place}":
            test.curve.note = ""
            test.curve.save(update_fields=["note"])


class Migration(migrations.Migration):

    dependencies = [
        ('measurements', '0001_first_version'),
        ('shop', '0003_history_without_prose'),
    ]

    operations = [
        migrations.AddField(
            model_name='logfile',
            name='findings',
            field=models.JSONField(blank=True, default=list, verbose_name='what the log can and cannot show, as codes with values'),
        ),
        migrations.AddField(
            model_name='logfile',
            name='place',
            field=models.JSONField(blank=True, default=list, verbose_name='where it stands in the file, as codes with values'),
        ),
        migrations.AddField(
            model_name='dynotest',
            name='refusals',
            field=models.JSONField(blank=True, default=list, verbose_name='why it is not corrected, as codes with values'),
        ),
        migrations.AddField(
            model_name='dynotest',
            name='remarks',
            field=models.JSONField(blank=True, default=list, verbose_name='what has to be said of it, as codes with values'),
        ),
        migrations.AlterField(
            model_name='dynotest',
            name='setup',
            field=models.JSONField(default=list, verbose_name='what was set: code of the field, value, unit'),
        ),
        migrations.RunPython(into_codes),
    ]
