from importlib import import_module

from django.apps import AppConfig


class SizingConfig(AppConfig):
    name = "sizing"

    def ready(self):
        import_module("sizing.ways")  # how values of sentences are written
        for table in ("figures", "tables"):  # sentences by code
            import_module(f"sizing.sentences.{table}")
