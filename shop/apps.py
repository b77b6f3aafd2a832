from importlib import import_module

from django.apps import AppConfig
from django.db.models.signals import post_migrate

from shop.access.roles import GRANTS, sync_roles


def give_roles(**_):
    sync_roles(GRANTS)


class ShopConfig(AppConfig):
    name = "shop"

    def ready(self):
        import_module("shop.workshop.backup_work")  # registers its long work
        for table in ("history", "refusals"):  # sentences by code
            import_module(f"shop.sentences.{table}")
        post_migrate.connect(give_roles, sender=self)
