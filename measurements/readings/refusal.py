"""What an action says when it does not store what was sent, and how that comes back to the fields of a form."""

from django import forms

from sizing.said import Said


class ReadingRefused(ValueError):
    """What was typed cannot be stored: the reason for each field; the empty name is the sheet as a whole."""

    def __init__(self, said: dict[str, Said]):
        self.said = said
        super().__init__(said)

    @property
    def errors(self) -> dict[str, str]:
        """In words."""
        return {name: str(said) for name, said in self.said.items()}

    def __str__(self) -> str:
        return " ".join(self.errors.values())


class Conflict(ReadingRefused):
    """The id is taken by something else."""


class RefusalMixin(forms.BaseForm):
    """For forms: a reason stands beside its field, or above them all where the form has no such field."""

    def take_refusal(self, refused: ReadingRefused) -> None:
        for name, text in refused.errors.items():
            self.add_error(name if name in self.fields else None, text)
