from django.core.management.base import BaseCommand, CommandError

from shop.access.actions import forget_second_factor
from shop.access.models import Person


class Command(BaseCommand):
    help = "Let a person in with the password alone again, when phone and paper codes are lost."

    def add_arguments(self, parser):
        parser.add_argument("username")

    def handle(self, *args, username, **options):
        person = Person.objects.filter(username=username).first()
        if person is None:
            raise CommandError(f"There is no log-in name '{username}'.", returncode=2)
        forget_second_factor(person)
        self.stdout.write(f"{username} logs in with the password alone now.")
