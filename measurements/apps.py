from django.apps import AppConfig
from django.db.models.signals import post_migrate

from shop.roles import sync_roles

from .roles import GRANTS


def give_roles(**_):
    sync_roles(GRANTS)


class MeasurementsConfig(AppConfig):
    name = "measurements"

    def ready(self):
        post_migrate.connect(give_roles, sender=self)
