"""Why a log, a table of a run or a dyno run is refused, by code."""

from django.utils.translation import gettext_lazy as _

from sizing.said import add_sentences

# What is in the file.
add_sentences(
    {
        "log.one_column": _(
            "The file has only one column. A log needs the time and at least the engine speed beside each other."
        ),
        "log.no_figures": _(
            "No rows of figures were found. A log is text with one row a reading, its columns parted by comma, "
            "semicolon or tab."
        ),
        "log.no_names_in_line": _(
            "Names of columns in line %(line)d: no names stand there beside each other. "
            "Allowed: a line above the figures, or 0 when no line holds names."
        ),
        "log.no_figures_below_line": _(
            "Names of columns in line %(line)d: no row of figures stands below it. "
            "Allowed: a line above the figures, or 0 when no line holds names."
        ),
        "log.too_many_columns": _("The file has %(columns)d columns. Allowed: up to %(most)d."),
        "log.unclosed_quote": _(
            "A quotation mark is opened and never closed (last one in line %(line)d). "
            "Correct the file and send it again."
        ),
        "log.too_many_raw_cells": _(
            "The columns that are not used hold more than %(most)s cells. Take the file as received; it holds them all."
        ),
        "log.too_many_figures": _(
            "The log has more than %(most)s figures in the matched columns. "
            "Match fewer columns, or cut it to the part that counts."
        ),
        "log.no_row": _("There is not one row of figures below the header."),
        "log.unreadable_table": _("The file cannot be read as a table: %(why)s"),
        "log.too_many_channels": _("The file has %(channels)s channels. Allowed: up to %(most)d."),
        "log.too_many_wide_cells": _("In columns the log would have %(cells)s cells. Allowed: up to %(most)s."),
        "log.more_recordings": _(
            "The file holds more than %(most)d recordings. Allowed: up to %(most)d; part it and send the parts."
        ),
        "log.too_many_recordings": _(
            "The file holds %(recordings)d recordings. Allowed: up to %(most)d; part it and send the parts."
        ),
        "log.no_table_with": _("With %(mark)s between columns it is no table. %(why)s"),
        "log.nothing_in_it": _("No log was found in it. %(parts)s"),
        "log.part": _("%(part)s: %(why)s"),
        "log.no_file_in_it": _("The packed file holds no file."),
        "log.too_many_files": _("The packed file holds %(files)d files. Allowed: up to %(most)d."),
        "log.no_log_in_it": _("The packed file holds no log. %(parts)s"),
        "log.member_locked": _("It is locked with a password. Send it without one."),
        "log.member_again": _("The same bytes as %(name)s; read once."),
        "log.member_packed": _("It is packed once more. Unpack it and send what is inside."),
        "log.too_many_rows": _(
            "The file has more than %(most)s rows. Allowed: up to %(most)s; cut it to the part that counts."
        ),
        "log.long_line": _("Line %(line)d is %(length)s characters long. Allowed: up to %(most)s."),
        "log.long_cell": _("Line %(line)d holds a cell of %(length)s characters. Allowed: up to %(most)s."),
    }
)

# How its columns are matched, and how it stands in the workshop.
add_sentences(
    {
        "match.no_such_quantity": _("'%(name)s' is not a quantity of a log."),
        "match.twice": _("%(channel)s stands for two columns. Keep one of them."),
        "match.no_time": _(
            "No column is taken for the time. Say which one is the clock; without it nothing can be read."
        ),
        "match.only_speed": _("Only time and engine speed are matched. Match at least one more column, such as boost."),
        "match.only_time": _("Only the time is matched. Match at least one more column, such as boost."),
        "match.one_clock": _("A date or a part of a second goes with one column of time only. Keep one clock."),
        "match.no_unit_of_it": _("%(channel)s: '%(unit)s' is not a unit of it. Allowed: %(allowed)s."),
        "match.no_such_column": _("A column is matched that the file does not have. Match the columns anew."),
        "match.no_times": _(
            "The column taken for the time holds no times that can be read. Choose another one, or another unit."
        ),
        "match.no_row_with_both": _(
            "No row holds both a time and a value of a matched column. Match the columns anew."
        ),
        "log.no_speed_in_column": _("The column taken for %(channel)s ('%(header)s') holds no possible value."),
        "log.not_understood": _(
            "The file could not be understood. It is kept as received; export the log as CSV with one row a reading "
            "and send that."
        ),
        "log.gone": _("This log is not there any more."),
        "log.named": "%(name)s: %(why)s",
        "log.no_columns": _("This log is not read any more, so there are no columns to write."),
        "paper.no_pdf": _("This machine cannot make a PDF. Print the sheet's page from the browser instead."),
        "log.recording_gone": _(
            "The stored file does not hold this recording any more. Take it back and send the file again."
        ),
        "log.known": _(
            "This file is here already: '%(name)s', sent by %(by)s on %(sent_on)s. It was not stored twice."
        ),
        "log.called_off": _("This job was called off; nothing more is stored for it."),
        "log.say_phase": _("Say whether the log was taken before or after the fit."),
        "log.too_big": _("The file has %(size_mb).0f MB. Allowed: up to %(most_mb)d MB."),
        "log.columns_of_earlier_reading": _(
            "The stored columns are of an earlier reading of this file. "
            "Match its columns anew and read it, then take them out."
        ),
        "log.was_taken_back": _("This log was taken back. Send the file again to read it."),
        "log.cannot_be_read": _("This log cannot be read. Send the file again to read it."),
        "log.part_of_another": _(
            "Matched so, the clock does not start again, and this recording is part of another one. Take it back."
        ),
        "log.nothing_with_this_match": _(
            "%(log)s holds nothing that can be read with this match. Nothing was changed."
        ),
    }
)

# Tables of curves and runs, and what a run on rollers or on the road cannot carry.
add_sentences(
    {
        "curve.no_torque": _("Line %(line)d: power at %(speed_rpm)g rpm gives no torque."),
        "run.of_drum": _("drum"),
        "run.of_vehicle": _("vehicle"),
        "run.no_pull": _("The %(what)s hardly speeds up in this record: it holds no pull."),
        "run.no_run_down": _(
            "The %(what)s hardly slows down in the run-down: "
            "let it roll until it has lost at least a fifth of its speed."
        ),
        "run.too_few_to_smooth": _(
            "%(samples)d samples are too few to smooth over %(window_s)g s; at least %(least)d are needed."
        ),
        "run.as_many_times": _("%(times)d times and %(speeds)d speeds: a record needs as many of both."),
        "run.too_few": _("%(samples)d samples; a record needs at least %(least)d."),
        "run.times_have_to_rise": _(
            "Sample %(sample)d: time %(time_s)g s does not follow %(before_s)g s. Times have to rise."
        ),
        "run.gap": _(
            "Between %(from_s)g s and %(to_s)g s nothing was logged for %(gap_s)g s, where %(usual_s)g s is usual. "
            "Cut the record there."
        ),
        "run.as_many_torques": _(
            "%(speeds)d speeds and %(torques)d torques; a curve needs as many of both, at least two."
        ),
        "run.too_narrow": _(
            "The run covers less than two steps of 100 rpm of engine speed: pull through a wider range."
        ),
        "run.cannot_roll_so": _(
            "The run-down gives a drag area of %(drag_m2).2f m² and a rolling resistance of %(rolling).4f, "
            "which cannot be: wind, slope or brakes are in it. Roll both ways on level ground."
        ),
    }
)
