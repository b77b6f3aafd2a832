"""Why a file or a table is not taken, by code."""

from django.utils.translation import gettext_lazy as _

from sizing.said import add_sentences

# What people send by mistake.
add_sentences(
    {
        "file.photo_jpeg": _("a photo (JPEG)"),
        "file.photo_heic": _("a photo (HEIC)"),
        "file.picture_png": _("a picture (PNG)"),
        "file.picture_gif": _("a picture (GIF)"),
        "file.pdf": _("a PDF document"),
        "file.packed": _("a packed file or a spreadsheet"),
        "file.packed_gzip": _("a packed file (gzip)"),
        "file.packed_7z": _("a packed file (7z)"),
        "file.old_office": _("an old office document"),
        "file.media": _("a picture, a film or a sound"),
    }
)

# The file as a whole.
add_sentences(
    {
        "file.empty": _("The file is empty. Save it again and send that."),
        "file.too_big": _("The file has %(size)s bytes. Allowed: up to %(most)s; split it."),
        "file.did_not_come": _("The file did not come through. Send it again."),
        "file.has_changed": _("The file has changed since it was shown. Send it again."),
        "file.no_table": _("This is %(what)s, not a table. Export the table as CSV (text) and send that."),
        "file.not_text": _("This file is not text, so it is no CSV. Export the table as CSV and send that."),
        "file.not_text_all_through": _(
            "This file is not text all through, so it is no CSV. Export the table as CSV and send that."
        ),
        "packed.too_big": _("Unpacked, the file has more than %(most_mb)d MB. Allowed: up to %(most_mb)d MB."),
        "packed.unpacks_too_far": _(
            "The file unpacks to more than %(times)d times its size, which no log or table does. "
            "Send it as it is, not packed."
        ),
        "packed.damaged_because": _(
            "The packed file is damaged and cannot be opened (%(why)s). Pack it again, or send it as it is."
        ),
        "packed.ends_too_early": _("it ends too early"),
        "packed.damaged": _("The packed file is damaged and cannot be opened. Pack it again, or send it as it is."),
        "packed.locked": _("The packed file is locked with a password. Send it without one."),
        "spreadsheet.odd_parts": _(
            "The spreadsheet holds parts that no plain sheet has, so it is not opened. "
            "Save it again as CSV and send that."
        ),
        "spreadsheet.too_many_cells": _(
            "The spreadsheet has more than %(most)s cells. Save the sheet as CSV and send that."
        ),
        "spreadsheet.too_many_columns": _("Sheet '%(name)s' has %(columns)d columns. Allowed: up to %(most)d."),
        "spreadsheet.too_slow": _("The spreadsheet takes too long to open. Save the sheet as CSV and send that."),
        "spreadsheet.none": _(
            "This is a packed file or an office document, and no .xlsx spreadsheet. Save the table as CSV or .xlsx and send that."
        ),
        "spreadsheet.too_many_sheets": _("The spreadsheet has %(sheets)d sheets. Allowed: up to %(most)d."),
        "spreadsheet.several_sheets": _("Several sheets hold something: %(names)s. Allowed: one; take the others out."),
        "spreadsheet.damaged": _(
            "The spreadsheet is damaged and cannot be opened. Save the table as CSV and send that."
        ),
        "spreadsheet.empty": _("The spreadsheet holds nothing. Save the table again and send that."),
    }
)

# Columns, lines and cells.
add_sentences(
    {
        "mark.point": _("point"),
        "mark.comma": _("comma"),
        "mark.semicolon": _("semicolon"),
        "mark.tab": _("tab"),
        "mark.bar": _("bar"),
        "table.no_table": _("The file is not a table: %(why)s."),
        "table.no_csv": _("Line %(line)d cannot be read as CSV: %(why)s."),
        "table.no_rows": _("The file has a header line and no rows under it."),
        "table.too_many_rows": _("The table has %(rows)s rows. Allowed: up to %(most)s; cut it or split it."),
        "table.too_many_columns": _("The table has %(columns)d columns. Allowed: up to %(most)d."),
        "table.too_many_cells": _(
            "Line %(line)d has %(cells)d cells, the header has %(columns)d. "
            "A comma inside a number or a text must stand in quotes."
        ),
        "table.no_column": _(
            "No column named %(missing)s. The header line reads: %(header)s. Columns that may stand there: %(columns)s."
        ),
        "table.column_twice": _("The column %(column)s stands there twice: %(headings)s. Keep one."),
        "table.strange_column": _(
            "The column '%(heading)s' is not known. Take it out or rename it. Columns that may stand there: %(columns)s."
        ),
        "table.both_marks": _(
            "Line %(line)d, %(column)s: '%(text)s' has a decimal comma, and '%(other)s' in line %(other_line)d a "
            "decimal point. Allowed: one of the two in the whole table."
        ),
        "table.cell": _("Line %(line)d, %(column)s: %(why)s"),
        "cell.no_figure": _(
            "'%(text)s' is not a number. Allowed: digits, with a decimal %(mark)s where there are decimals."
        ),
        "cell.other_mark": _(
            "'%(text)s' cannot be read: the decimal mark of this table is a %(mark)s. "
            "Allowed: that mark alone, and none between thousands."
        ),
        "cell.two_ways": _(
            "'%(text)s' can be read as %(small)s or as %(large)s, and no other figure of the table tells. "
            "Write it as one of the two."
        ),
    }
)

# Tables of the catalogue and of the pump bench.
add_sentences(
    {
        "map.unit_of_form": _(
            "The column is named %(heading)s, but %(unit)s was chosen as its unit. Change one of the two."
        ),
        "map.no_unit": _("The heading '%(heading)s' does not say its unit. Write it into the heading: %(allowed)s."),
        "map.no_unit_chosen": _(
            "The heading '%(heading)s' does not say its unit. Choose it in the form, or write it into the heading: "
            "%(allowed)s."
        ),
        "table.unit_not_known": _(
            "The heading '%(heading)s' names the unit '%(unit)s', which is not known for it. Allowed: %(allowed)s."
        ),
        "map.same_flow": _("The speed line of %(speed_rpm)s rpm has two points at the same flow. Keep one."),
        "bench.no_line": _("'%(text)s' is no line of a pump. Allowed: 1 to %(most)d."),
        "bench.line_twice": _("Line %(text)s of the pump stands there twice. Keep one."),
    }
)
