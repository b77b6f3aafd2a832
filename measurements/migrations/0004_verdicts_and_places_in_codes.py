"""Verdicts and the place of a curve as codes instead of the words that were shown for them, wherever they are stored."""

from django.db import migrations

CODES = {"on plan": "on_plan", "near the edge": "near_edge", "off plan": "off_plan"}  # "stop" is both
TAKE_OFF = {"power take-off": "take_off"}  # "flywheel" and "wheels" are both


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
    for test in apps.get_model("measurements", "DynoTest").objects.using(alias).order_by("pk"):
        places = [remark["values"]["place"] for remark in test.remarks if "place" in remark["values"]]
        for place in places:
            if isinstance(place, dict) and place.get("of") == "curve_place":
                place["value"] = TAKE_OFF.get(place["value"], place["value"])
        test.place = TAKE_OFF.get(test.place, test.place)
        test.save(update_fields=["place", "remarks"])


class Migration(migrations.Migration):

    dependencies = [
        ('measurements', '0003_words_without_prose'),
        ('shop', '0003_history_without_prose'),
    ]

    operations = [
        migrations.RunPython(into_codes),
    ]
