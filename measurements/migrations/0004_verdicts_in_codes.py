"""Verdicts as codes instead of the words that were shown for them: in proving runs and in the history of a job."""

from django.db import migrations

CODES = {"on plan": "on_plan", "near the edge": "near_edge", "off plan": "off_plan"}  # "stop" is both


def into_codes(apps, schema_editor):
    alias = schema_editor.connection.alias
    runs = apps.get_model("measurements", "ProvingRun").objects.using(alias)
    for word, code in CODES.items():
        runs.filter(verdict=word).update(verdict=code)
    events = apps.get_model("shop", "JobEvent").objects.using(alias)
    for event in events.filter(code__in=["proving.decided", "smoke.ended"]).order_by("pk").iterator(chunk_size=2000):
        verdict = event.values["verdict"]
        if verdict.get("way") == "word" and verdict["value"] in CODES:
            verdict["value"] = CODES[verdict["value"]]
            event.save(update_fields=["values"])


class Migration(migrations.Migration):

    dependencies = [
        ('measurements', '0003_words_without_prose'),
        ('shop', '0003_history_without_prose'),
    ]

    operations = [
        migrations.RunPython(into_codes),
    ]
