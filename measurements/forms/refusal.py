"""What an action refused, brought back to the fields of its form."""

from measurements.refusals import ReadingRefused


class RefusalMixin:
    """For forms: a reason stands beside its field, or above them all where the form has no such field."""

    def take_refusal(self, refused: ReadingRefused) -> None:
        for name, text in refused.errors.items():
            self.add_error(name if name in self.fields else None, text)
