from importlib import import_module

from django.apps import AppConfig
from django.db.models.signals import post_migrate, post_save

from measurements.roles import GRANTS
from shop.access.roles import sync_roles


def give_roles_of_this_floor(**_):
    sync_roles(GRANTS)


class MeasurementsConfig(AppConfig):
    name = "measurements"

    def ready(self):
        for room in ("logs", "papers", "review"):  # they register their long work
            import_module(f"measurements.long_work.{room}")
        from measurements.review.outcomes import forget_outcome, forget_outcomes_of_vehicle

        for table in ("dyno", "findings", "history", "log_refusals", "logs", "phone", "refusals"):  # sentences by code
            import_module(f"measurements.sentences.{table}")
        # The floor below writes the events and knows nothing of outcomes.
        post_save.connect(forget_outcome, sender="shop.JobEvent", dispatch_uid="forget_outcome")
        post_save.connect(forget_outcomes_of_vehicle, sender="shop.Vehicle", dispatch_uid="forget_outcomes_of_vehicle")
        post_migrate.connect(give_roles_of_this_floor, sender=self)
