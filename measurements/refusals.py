"""What an action says when it does not store what was sent."""


class ReadingRefused(ValueError):
    """What was typed cannot be stored. `errors` says why for each field; the empty name is the sheet as a whole."""

    def __init__(self, errors: dict[str, str]):
        self.errors = errors
        super().__init__(" ".join(errors.values()))


class Conflict(ReadingRefused):
    """The id is taken by something else."""
