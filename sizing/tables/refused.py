"""Why a file, or one cell of it, is not taken."""

from sizing.said import Refused, Said


class FileRefused(Refused):
    """A file that cannot be read as what it was sent as; `field`: which answer of the form is at fault."""

    field = "file"

    def at(self, field: str) -> "FileRefused":
        self.field = field
        return self


class CellRefused(FileRefused):
    """One cell, named by line, column and value, with the reason and what is allowed."""

    def __init__(self, line: int, column: str, value: str, why: Said):
        self.line, self.column, self.value, self.why = line, column, value, why
        super().__init__(Said("table.cell", {"line": line, "column": column, "why": why}))
