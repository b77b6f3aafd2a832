#!/usr/bin/env python
import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    if sys.argv[1:2] == ["makemigrations"]:  # it signs nothing, so it asks for no secret
        os.environ.setdefault("SECRET_KEY", "no-secret-" * 6)
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)
