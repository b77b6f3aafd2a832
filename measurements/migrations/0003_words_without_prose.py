"""The sentences are made when shown; in a migration of its own, so that no row is changed and its table altered in one
transaction, which PostgreSQL may refuse."""

from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [
        ('measurements', '0002_words_in_codes'),
    ]

    operations = [
        migrations.RemoveField(
            model_name='logfile',
            name='finding',
        ),
        migrations.RemoveField(
            model_name='logfile',
            name='part_label',
        ),
        migrations.RemoveField(
            model_name='dynotest',
            name='refusal',
        ),
        migrations.RemoveField(
            model_name='dynotest',
            name='notes',
        ),
    ]
