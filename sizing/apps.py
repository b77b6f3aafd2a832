from importlib import import_module

from django.apps import AppConfig


class SizingConfig(AppConfig):
    name = "sizing"

    def ready(self):
        import_module("sizing.ways")  # how values of sentences are written
        import_module("sizing.sentences.tables")  # sentences by code
