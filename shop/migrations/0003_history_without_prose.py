"""The sentences are made when shown; in a migration of its own, so that no row is changed and its table altered in one
transaction, which PostgreSQL may refuse."""

from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [
        ('shop', '0002_history_in_codes'),
    ]

    operations = [
        migrations.RemoveField(
            model_name='jobevent',
            name='text',
        ),
    ]
