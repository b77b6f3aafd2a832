"""The sentences of the first version that this floor stored, as rules that read them. Frozen: never to be changed."""

import re

from shop.migrations._prose import NUMBER, REAL, WHOLE, Rule, Shape, Unreadable, figure, listed, many, number, one_of, said, stored

PRESSURE, TEMPERATURE = ("kPa", "bar", "psi"), ("°C", "°F")
# Label, the units it was shown in, and the word behind the unit.
QUANTITIES = {
    "speed_rpm": ("Engine speed", ("rpm",), ""),
    "load_pct": ("Load", ("%",), ""),
    "boost_kpa": ("Boost", PRESSURE, "gauge"),
    "exhaust_temperature_c": ("Exhaust temperature", TEMPERATURE, ""),
    "charge_temperature_c": ("Charge temperature", TEMPERATURE, ""),
    "smoke_opacity_pct": ("Smoke, opacity", ("%",), ""),
    "smoke_k_per_m": ("Smoke, absorption", ("m⁻¹",), ""),
    "oil_pressure_kpa": ("Oil pressure", PRESSURE, "gauge"),
    "oil_temperature_c": ("Oil temperature", TEMPERATURE, ""),
    "coolant_temperature_c": ("Coolant temperature", TEMPERATURE, ""),
    "air_temperature_c": ("Air temperature", TEMPERATURE, ""),
    "air_pressure_kpa": ("Air pressure", PRESSURE, "absolute"),
    "restriction_kpa": ("Air cleaner restriction", PRESSURE, "below outside air"),
    "turbine_inlet_pressure_kpa": ("Pressure before turbine", PRESSURE, "gauge"),
    "exhaust_back_pressure_kpa": ("Pressure after turbine", PRESSURE, "gauge"),
    "lambda_ratio": ("Lambda", ("",), ""),
    "torque_nm": ("Torque", ("Nm", "lbf·ft"), ""),
    "power_kw": ("Power", ("kW", "hp metric", "hp imperial"), ""),
    "fuel_flow_l_h": ("Fuel flow", ("L/h",), ""),
    "delivery_mm3": ("Delivery", ("mm³/stroke",), ""),
}
# Channels of a log: the name with its word; those that are no quantities with their unit.
CHANNELS = {slug: (f"{label}, {word}" if word else label) for slug, (label, _, word) in QUANTITIES.items()} | {
    "time_s": "Time", "date": "Date, beside the time of day", "time_part": "Part of a second, beside the time",
    "manifold_pressure_kpa": "Manifold pressure, absolute", "pedal_pct": "Pedal or lever",
    "torque_pct": "Torque, % of reference", "road_speed_km_h": "Road speed",
}
OTHER_UNITS = {
    "time_s": "s", "date": "date", "time_part": "s", "manifold_pressure_kpa": "kPa", "pedal_pct": "%", "torque_pct": "%",
    "road_speed_km_h": "km/h",
}
SHEETS = {
    "survey": "Survey at the engine", "pump_bench": "Pump bench", "injector_bench": "Injector bench",
    "leak_test": "Leak test of the intake", "free_acceleration": "Before the smoke test: idle and governed speed",
    "oil_feed": "Oil feed of the turbo",
}
SHEET_ITEMS = {
    "survey": {
        "compression_kpa": "Compression", "blow_by_l_min": "Blow-by", "oil_pressure_idle_kpa": "Oil pressure hot, at idle",
        "oil_pressure_rated_kpa": "Oil pressure hot, at rated speed", "oil": "Oil", "coolant": "Coolant",
        "filters": "Air, oil and fuel filters", "leaks": "Leaks of oil, coolant, fuel and exhaust", "injectors": "Injectors",
        "mounts": "Engine and gearbox mounts", "clutch": "Clutch or coupling reserve", "cooling": "Cooling reserve",
    },
    "pump_bench": {
        "rack_free": "Rack free, returns to stop", "delivery_rated_mm3": "Delivery at rated pump speed, full load",
        "delivery_torque_mm3": "Delivery at peak torque speed", "delivery_idle_mm3": "Delivery at idle",
        "cut_off_rpm": "Governor cuts off from, pump speed", "boost_compensator_kpa": "Boost compensator starts at",
        "begin_deg": "Begin of injection before top dead centre",
    },
    "injector_bench": {
        "opening_pressure_kpa": "Opening pressure", "tip_dry_s": "Tip stays dry, 20 bar below opening", "spray": "Spray",
    },
    "leak_test": {
        "test_pressure_kpa": "Test pressure", "after_minute_kpa": "Pressure left after one minute",
        "soap_tight": "Joints tight with soap water", "plug_out": "Plug and rags are out again",
    },
    "free_acceleration": {
        "oil_temperature_c": "Oil temperature", "idle_rpm": "Idle", "governed_rpm": "Governed speed reached",
        "smoke_k_per_m": "Smoke at each pull",
    },
    "oil_feed": {
        "primed": "Turbo filled with clean oil by hand", "oil_at_feed": "Oil comes at the feed while cranking",
        "crank_pressure_kpa": "Oil pressure while cranking", "feed_pressure_idle_kpa": "Feed pressure at idle, hot",
        "drain_s": "Oil seen at the drain after", "drain_falls": "Drain falls all the way, above the oil level",
    },
}
ITEM_UNITS = ("kPa gauge", "bar gauge", "psi gauge", "L/min", "mm³/stroke", "rpm", "°C", "°F", "°", "s", "m⁻¹")


def _shown_units(slug):
    """Every unit as it stood behind a figure of a quantity, with the unit that it is."""
    _, units, word = QUANTITIES[slug]
    return {f"{unit} {word}".strip(): unit for unit in units}


def _either(patterns):
    return "|".join(sorted(patterns, key=len, reverse=True))


# ---- shapes


def _channel(small):
    names = {(name.lower() if small else name): slug for slug, name in CHANNELS.items()}
    return Shape(_either(map(re.escape, names)), lambda text: {"way": "channel", "of": names[text], "small": small})


CHANNEL, SMALL_CHANNEL = _channel(False), _channel(True)
BOOST = figure("boost_kpa", _shown_units("boost_kpa"), "channel_figure")
UNIT = Shape(r"\S+")  # of a channel, as it is stored
# A figure whose channel stands elsewhere in the sentence: number and unit, put together by `with_channel`.
ANY_FIGURE = Shape(rf"{NUMBER}(?: .+)?", lambda text: text)


class ChannelRule(Rule):
    """A rule with the name of a channel and a figure of it, or the unit of it."""

    def __call__(self, text):
        found = super().__call__(text)
        if found is None:
            return None
        values = found["values"]
        slug = values["channel"]["of"]
        if "value" in values:
            units = _shown_units(slug) if slug in QUANTITIES else {OTHER_UNITS[slug]: OTHER_UNITS[slug]}
            shape = figure(slug, units, "channel_figure")
            if not re.fullmatch(shape.pattern, values["value"]):
                return None
            values["value"] = shape.read(values["value"])
        if "unit" in values:
            values["unit"] = {"way": "channel_unit", "of": slug}
        return found


def _reading():
    rows = {label.lower(): slug for slug, (label, _, _) in QUANTITIES.items()}
    shapes = {name: figure(slug, _shown_units(slug)) for name, slug in rows.items()}

    def read(text):
        for name in sorted(rows, key=len, reverse=True):
            rest = text[len(name) + 1 :]
            if text.startswith(f"{name} ") and re.fullmatch(shapes[name].pattern, rest):
                return {"way": "reading", "of": rows[name], "value": shapes[name].read(rest)["value"]}
        raise Unreadable

    return Shape(".+", read)


def _point(text):
    speed, load = re.fullmatch(r"(\d+) rpm, (\d+) % load", text).groups()
    return {"way": "point", "speed_rpm": float(speed), "load_pct": float(load)}


POINT = Shape(r"\d+ rpm, \d+ % load", _point)
READINGS = many(_reading(), ", ")
WHERE = said(
    Rule("where.before_the_fit", "before the fit"),
    Rule("where.proving_run", "proving run {run}", run=WHOLE),
    Rule("where.after_hand_over", "after hand-over"),
)
WHERE.pattern = r"before the fit|proving run \d+|after hand-over"
PHASE = one_of("phase", {"before": "before the fit", "after": "after the fit"})
CURVE_KIND = one_of("curve_kind", {
    "brake": "engine or power take-off brake", "drum": "rollers", "road": "road run", "book": "book, not measured here",
})
DECISION = one_of("run_decision", {
    "keep": "keep as it is", "change": "change something and prove again", "next": "keep now and plan the next stage",
})
_verdict = one_of("verdict", {word: word for word in ("on plan", "near the edge", "off plan", "stop")})
VERDICT = Shape(
    f"{_verdict.pattern}|no verdict",
    lambda text: {"code": "verdict.none", "values": {}} if text == "no verdict" else _verdict.read(text),
)
OIL = figure("oil_temperature_c", {"°C": "°C"})
SNAP_BEFORE = Shape(
    rf"no figure|{NUMBER}", lambda text: {"code": "smoke.no_figure", "values": {}} if text == "no figure" else text
)


def _duration(text):
    value, unit = text.split(" ")
    return {"way": "duration", "seconds": number(value) * (60 if unit == "min" else 1)}


DURATION = Shape(r"[\d.]+ (?:s|min)", _duration)

# ---- what a log can and cannot show

BOOST_SAID = said(
    Rule("log.boost_never_above", "boost never rose above {boost}", boost=BOOST),
    Rule("log.boost_not_logged", "boost was not logged"),
)
PULLS = [
    Rule("log.pulls", f"{{count}} pull{s} at full load found, told by {{channel}}.", count=WHOLE, channel=SMALL_CHANNEL)
    for s in ("", "s")
]
_why_none = [
    Rule("log.no_pedal_or_load", "there is no pedal or load column"),
    Rule("log.boost_never_above", "boost never rose above {boost}", boost=BOOST),
]
NO_LOAD = said(
    Rule("log.no_speed", "no engine speed was logged, so no pull can be found and nothing is said of boost over speed."),
    Rule("log.not_told_from_it", "{why}, so no stretch of full load can be told from it.", why=said(*_why_none)),
    *[
        Rule(
            "log.run_ups",
            f"{{channel}} reached its top {{count}} time{s}, but never for {{seconds}} s. That is a run-up without load; {{boost}}.",
            channel=SMALL_CHANNEL, count=WHOLE, seconds=REAL, boost=BOOST_SAID,
        )
        for s in ("", "s")
    ],
    Rule("log.boost_not_held", "{boost}, and never stayed near its top for {seconds} s.", boost=BOOST_SAID, seconds=REAL),
    Rule(
        "log.never_full", "{channel} never rose above {top_pct} %, and {boost}.",
        channel=SMALL_CHANNEL, top_pct=REAL, boost=BOOST_SAID,
    ),
    Rule(
        "log.full_only_slow", "{channel} was at its top only while the engine was not yet turning fast; {boost}.",
        channel=SMALL_CHANNEL, boost=BOOST_SAID,
    ),
)
FIRST = [
    *PULLS,
    Rule(
        "log.pulls_without_boost", "{pulls} But {boost}: nothing can be said of boost under load from it.",
        pulls=said(*PULLS), boost=BOOST_SAID,
    ),
    Rule("log.no_load", "No load, not a boost test: {why}", why=NO_LOAD),
]


def _rows(code, sentence, **shapes):
    """A sentence that begins with a count, for one and for many."""
    return [
        Rule(code, sentence.replace("(s)", s).replace("(was)", was), **shapes) for s, was in (("", "was"), ("s", "were"))
    ]


def _columns(code, sentence, **shapes):
    return [
        ChannelRule(f"column.{code}", f"{{channel}}: {sentence}".replace("(s)", s).replace("(was)", was), channel=CHANNEL, **shapes)
        for s, was in (("", "was"), ("s", "were"))
    ]


WHY_LEFT_OUT = said(
    Rule("row.another_width", "with another number of cells than the header"),
    Rule("row.another_width_last_cut_off", "with another number of cells than the header, the cut-off last one among them"),
    Rule("row.no_time", "without a time that can be read"),
    Rule("row.no_value", "without a value in any matched column"),
    Rule("row.no_time_or_channel", "without a time or a channel"),
    Rule("row.ends", "of minima and maxima at the top, which are no readings"),
)
AIR = said(Rule("air.as_logged", "as logged"), Rule("air.standard", "standard air at the altitude of the workshop"))
FINDINGS = [
    *FIRST,
    Rule("log.no_power", "No torque in Nm and no power was logged, so nothing is said about power."),
    Rule(
        "log.boost_never_with_speed",
        "Boost and engine speed were never logged together, so there is no boost over engine speed.",
    ),
    Rule(
        "log.boost_partly_with_speed",
        "Only {share_pct} % of the boost was logged together with engine speed; boost over engine speed stands on that part alone.",
        share_pct=REAL,
    ),
    *_rows("log.short_run_ups", "{count} shorter run-up(s) under {seconds} s left aside.", count=WHOLE, seconds=REAL),
    Rule(
        "log.boost_from_manifold", "Boost is the absolute manifold pressure less {air_kpa} kPa of air ({where}).",
        air_kpa=REAL, where=AIR,
    ),
    *_rows("log.rows_left_out", "{count} row(s) {why} left out.", count=WHOLE, why=WHY_LEFT_OUT),
    *_rows(
        "log.padded_rows", "{count} row(s) shorter than the header: what is missing at the end was taken as empty.",
        count=WHOLE,
    ),
    Rule("log.readings_without_figure", "{count} readings held no figure and were left out.", count=WHOLE),
    Rule(
        "log.long_form", "Long form: {readings} readings of {channels} channels brought into {rows} rows.",
        readings=WHOLE, channels=WHOLE, rows=WHOLE,
    ),
    Rule(
        "log.different_rates",
        "The channels were logged at different rates: from {least} values ({least_channel}) to {most} ({most_channel}) "
        "in {rows} rows; nothing between them was made up.",
        least=WHOLE, least_channel=SMALL_CHANNEL, most=WHOLE, most_channel=SMALL_CHANNEL, rows=WHOLE,
    ),
    *_rows(
        "clock.starts_again", "The clock starts again {count} time(s): this is recording {stretch} of {stretches}.",
        count=WHOLE, stretch=WHOLE, stretches=WHOLE,
    ),
    *_rows(
        "clock.backwards",
        "The clock runs backwards {count} time(s): rows out of order, read in the order of their times.", count=WHOLE,
    ),
    *_rows(
        "clock.repeats",
        "The same time stands in {count} row(s) that follow another: the clock is too coarse for them, or rows came twice.",
        count=WHOLE,
    ),
    Rule(
        "clock.before_trigger",
        "The clock began at {began_at_s} s, before a trigger; times here are counted from the first row.", began_at_s=REAL,
    ),
    *_rows("clock.midnights", "The clock passed midnight {count} time(s); a day was added from there on.", count=WHOLE),
    Rule(
        "clock.several", "{clocks} columns of time, one for each group of channels; nothing was drawn between them.",
        clocks=WHOLE,
    ),
    *_rows(
        "clock.pauses", "{count} pause(s) in the log, the longest of {longest} from {at_s} s; nothing in it was made up.",
        count=WHOLE, longest=DURATION, at_s=REAL,
    ),
    *_columns("not_possible", "{count} value(s) left out as not possible ({low} {unit}).", count=WHOLE, low=REAL, unit=UNIT),
    *_columns(
        "not_possible_range", "{count} value(s) left out as not possible ({low} to {high} {unit}).",
        count=WHOLE, low=REAL, high=REAL, unit=UNIT,
    ),
    *_columns(
        "sentinel",
        "{count} cell(s) of {sentinel} left out: loggers write it for 'no reading', and it stands far from all other values.",
        count=WHOLE, sentinel=REAL,
    ),
    *_columns("no_figure", "{count} cell(s) held no figure and (was) left out.", count=WHOLE),
    ChannelRule(
        "column.spikes",
        "{channel}: a lonely sample of {value} at {at_s} s and {more} more, kept as it is; do not take it for a real value.",
        channel=CHANNEL, value=ANY_FIGURE, at_s=REAL, more=WHOLE,
    ),
    ChannelRule(
        "column.spike",
        "{channel}: a lonely sample of {value} at {at_s} s, kept as it is; do not take it for a real value.",
        channel=CHANNEL, value=ANY_FIGURE, at_s=REAL,
    ),
    ChannelRule(
        "column.counter",
        "{channel}: it counts up by the same step and starts again at the top: a counter of the logger, no measurement. "
        "Match another column.",
        channel=CHANNEL,
    ),
    ChannelRule(
        "column.never_moves",
        "{channel}: it stood at {value} in all of its {values} values: at rest, stuck, or not connected.",
        channel=CHANNEL, value=ANY_FIGURE, values=WHOLE,
    ),
    ChannelRule(
        "column.stuck", "{channel}: it stood still at {value} from {from_s} to {to_s} s ({values} values): perhaps stuck.",
        channel=CHANNEL, value=ANY_FIGURE, from_s=REAL, to_s=REAL, values=WHOLE,
    ),
]

# ---- why a file was refused

FILES = {
    "photo_jpeg": "a photo (JPEG)", "picture_png": "a picture (PNG)", "picture_gif": "a picture (GIF)",
    "pdf": "a PDF document", "packed": "a packed file or a spreadsheet", "packed_gzip": "a packed file (gzip)",
    "packed_7z": "a packed file (7z)", "old_office": "an old office document", "media": "a picture, a film or a sound",
}
FILE = said(*[Rule(f"file.{code}", words) for code, words in FILES.items()])
REFUSED = [
    Rule("file.empty", "The file is empty. Save the log again on the logger and send that file."),
    Rule(
        "file.no_table", "This is {what}, not a log. Export the log as CSV (text with one row a reading) and send that.",
        what=FILE,
    ),
    Rule(
        "file.no_table", "This is a photo (HEIC), not a log. Export the log as CSV and send that.",
        constant={"what": {"code": "file.photo_heic", "values": {}}},
    ),
    Rule("file.not_text", "This file is not text, so it is no CSV log. Export the log as CSV and send that."),
    Rule(
        "file.not_text_all_through",
        "This file is not text all through, so it is no CSV log. Export the log as CSV and send that.",
    ),
    Rule("table.no_table", "The file is not a table: {why}."),
    Rule(
        "log.one_column",
        "The file has only one column. A log needs the time and at least the engine speed beside each other.",
    ),
    Rule(
        "log.no_figures",
        "No rows of figures were found. A log is text with one row a reading, its columns parted by comma, semicolon or tab.",
    ),
    Rule("log.too_many_columns", "The file has {columns} columns. Allowed: up to {most}.", columns=WHOLE, most=WHOLE),
    Rule("log.no_row", "There is not one row of figures below the header."),
    Rule("log.unreadable_table", "The file cannot be read as a table: {why}"),
    Rule("log.too_many_channels", "The file has {channels} channels. Allowed: up to {most}.", channels=WHOLE, most=WHOLE),
    Rule(
        "log.too_many_wide_cells", "In columns the log would have {cells} cells. Allowed: up to {most}.",
        cells=WHOLE, most=WHOLE,
    ),
    Rule(
        "log.more_recordings", "The file holds more than 60 recordings. Allowed: up to 60; part it and send the parts.",
        constant={"most": 60},
    ),
    Rule(
        "log.too_many_recordings",
        "The file holds {recordings} recordings. Allowed: up to {most}; part it and send the parts.",
        recordings=WHOLE, most=WHOLE,
    ),
    Rule(
        "packed.too_big", "Unpacked, the file has more than 120 MB. Allowed: up to 120 MB.",
        constant={"most_mb": 120},
    ),
    Rule(
        "packed.unpacks_too_far",
        "The file unpacks to more than {times} times its size, which no log does. Send the log itself, not packed.",
        times=WHOLE,
    ),
    Rule("packed.damaged", "The packed file is damaged and cannot be opened. Pack it again, or send the log itself."),
    Rule(
        "packed.damaged_because",
        "The packed file is damaged and cannot be opened ({why}). Pack it again, or send the log itself.",
        why=Shape(".+", lambda text: {"code": "packed.ends_too_early", "values": {}} if text == "it ends too early" else text),
    ),
    Rule("packed.locked", "The packed file is locked with a password. Send it without one."),
    Rule("log.no_file_in_it", "The packed file holds no file."),
    Rule("log.too_many_files", "The packed file holds {files} files. Allowed: up to {most}.", files=WHOLE, most=WHOLE),
    Rule("log.member_locked", "It is locked with a password. Send it without one."),
    Rule("log.member_again", "The same bytes as {name}; read once."),
    Rule("log.member_packed", "It is packed once more. Unpack it and send what is inside."),
    Rule(
        "log.too_many_rows",
        "The file has more than 4,000,000 rows. Allowed: up to 4,000,000; cut it to the part that counts.",
        constant={"most": 4_000_000},
    ),
    Rule(
        "log.long_line", "Line {line} is {length} characters long. Allowed: up to {most}.",
        line=WHOLE, length=WHOLE, most=WHOLE,
    ),
    Rule(
        "log.long_cell", "Line {line} holds a cell of {length} characters. Allowed: up to {most}.",
        line=WHOLE, length=WHOLE, most=WHOLE,
    ),
    Rule(
        "spreadsheet.odd_parts",
        "The spreadsheet holds parts that no plain sheet has, so it is not opened. Save it again as CSV and send that.",
    ),
    Rule(
        "spreadsheet.too_many_cells", "The spreadsheet has more than {most} cells. Save the sheet as CSV and send that.",
        most=WHOLE,
    ),
    Rule(
        "spreadsheet.too_many_columns", "Sheet '{name}' has {columns} columns. Allowed: up to {most}.",
        columns=WHOLE, most=WHOLE,
    ),
    Rule("spreadsheet.too_slow", "The spreadsheet takes too long to open. Save the sheet as CSV and send that."),
    Rule(
        "spreadsheet.none",
        "This is an office document that is no .xlsx spreadsheet. Save the log as CSV or .xlsx and send that.",
    ),
    Rule(
        "spreadsheet.too_many_sheets", "The spreadsheet has {sheets} sheets. Allowed: up to {most}.",
        sheets=WHOLE, most=WHOLE,
    ),
    Rule("spreadsheet.damaged", "The spreadsheet is damaged and cannot be opened. Save the log as CSV and send that."),
    Rule("spreadsheet.empty", "The spreadsheet holds nothing. Save the log again and send that."),
    Rule(
        "log.not_understood",
        "The file could not be understood. It is kept as received; export the log as CSV with one row a reading and send that.",
    ),
]


def place(text, is_sheet):
    """Where in a file a recording stands: a packed file or a sheet, which recording, which stretch of its clock."""
    found = re.fullmatch(
        r"(?P<inner>.+?)??(?:(?:^|, )recording (?P<recording>\d+) from line (?P<line>\d+))?"
        r"(?:(?:^|, )clock start (?P<stretch>\d+) of (?P<stretches>\d+))?",
        text,
        re.DOTALL,
    ).groupdict()
    parts, inner = [], found["inner"]
    if inner and is_sheet and inner.startswith("sheet "):
        parts.append({"code": "place.sheet", "values": {"name": inner[6:]}})
    elif inner:
        parts.append({"code": "place.file", "values": {"name": inner}})
    for code, names in (("recording", ("recording", "line")), ("stretch", ("stretch", "stretches"))):
        if found[names[0]]:
            parts.append({"code": f"place.{code}", "values": {name: int(found[name]) for name in names}})
    return parts


def _named(text):
    """A log by its name and the recording of it."""
    found = re.fullmatch(
        r"(.+?)((?:, sheet (?<=\.xlsx, sheet ).+?)?(?:, recording \d+ from line \d+)?(?:, clock start \d+ of \d+)?)",
        text,
        re.DOTALL,
    )
    return [found[1], *place(found[2][2:], True)] if found[2] else text


LOG = Shape(".+", _named)
_part = Rule("log.part", "{part}: {why}", part=Shape(".+?", lambda text: place(text, False)), why=said(*REFUSED))
_parts = listed(said(_part, *REFUSED), "; ")
REFUSED = [
    Rule("log.nothing_in_it", "No log was found in it. {parts}", parts=_parts),
    Rule("log.no_log_in_it", "The packed file holds no log. {parts}", parts=_parts),
    *REFUSED,
]

# ---- what was said of a curve and of its correction

PLACE = one_of("curve_place", {place: place for place in ("flywheel", "power take-off", "wheels")})
RATIO_PLACE = one_of("ratio_place", {
    "none": "no charger, pressure ratio 1", "compressor": "after the compressor", "cooler": "after the cooler",
})
NEEDED = said(*[
    Rule(f"correction.needs.{code}", words)
    for code, words in {
        "engine_class": "engine class", "air_temperature": "air temperature", "air_pressure": "air pressure",
        "humidity": "relative humidity", "delivery": "delivery", "cylinders": "cylinders", "fuel_density": "fuel density",
        "displacement": "displacement", "boost": "boost at highest power",
    }.items()
])
_range = "the range of UN Regulation 85 and ISO 1585"
NOT_CORRECTED = [
    Rule(
        "correction.not_given", "Not corrected to standard air: {missing} not given. The power is as measured.",
        missing=many(NEEDED, ", "),
    ),
    Rule(
        "correction.dry_pressure_outside", f"Dry air pressure {{dry_kpa}} kPa is outside 80 to 110 kPa, {_range}.", dry_kpa=REAL
    ),
    Rule(
        "correction.air_outside",
        f"Intake air {{air_c}} °C ({{air_k}} K) is outside 283 to 313 K, about 10 to 40 °C, {_range}.", air_c=REAL, air_k=REAL,
    ),
    Rule("correction.factor_outside", f"Correction factor {{factor}} is outside 0.9 to 1.1, {_range}.", factor=REAL),
    Rule(
        "correction.as_measured",
        "The power stays as measured, in the air it was measured in; it is not called a corrected power, and nothing is "
        "claimed of what the engine would give at sea level.",
    ),
]


def reasons(text):
    """The pieces of why a power was not corrected."""
    return re.split(r" (?=Intake air |Correction factor |The power stays as measured)", text) if text else []


REMARKS = [
    Rule(
        "dyno.driveline_not_measured",
        "Driveline loss was not measured; 10 to 18 % is common (from memory) and was not added.",
    ),
    Rule("dyno.at_take_off", "Measured at a power take-off: the loss in its gears is still in it."),
    Rule(
        "dyno.beyond_run_down",
        "The run goes beyond the speeds of the run-down; its losses are carried on from the fit there.",
    ),
    Rule(
        "dyno.engine_inertia_not_counted",
        "The engine's own inertia was not counted: torque is a little low, most in low gears.",
    ),
    Rule("dyno.still_air", "Still air is taken for granted: run both ways and compare."),
    Rule("dyno.as_exact_as", "Plus or minus is what {instrument} is trusted with."),
    Rule(
        "dyno.not_engine_power",
        "The standards correct engine power; here the power at the {place} was corrected, its losses with it.", place=PLACE,
    ),
    Rule(
        "correction.mechanical_only",
        "Made for mechanical pumps. A later revision of SAE J1349 calls this correction no longer suitable for "
        "electronically controlled diesels.",
    ),
    Rule(
        "correction.standards_part",
        "Corrected fuel parameter {fuel_mg} mg per litre and cycle lies below 40, where the standards part: UN Regulation 85 "
        "holds the engine factor at 0.3 below 40, ISO 1585 (from memory) lets it fall on to 0.2 at 37.2. Here that is "
        "{r85} against {iso1585}, a correction factor of {factor_r85} against {factor_iso1585} with the same air.",
        fuel_mg=REAL, r85=REAL, iso1585=REAL, factor_r85=REAL, factor_iso1585=REAL,
    ),
    Rule("correction.ratio_place", "Pressure ratio: {place}.", place=RATIO_PLACE),
    Rule(
        "correction.other_ratio_place",
        "Pressure ratio was read {place}; {standard} as recalled takes it {usual}. The engine factor is a little high for it.",
        place=RATIO_PLACE, usual=RATIO_PLACE,
    ),
]
# Of a form, the label of a field as it was stored, and its code.
SETUP = {
    "brake": {"Engine speed over brake speed": "speed_ratio", "Torque, plus or minus": "torque_uncertainty_pct"},
    "drum": {
        "Inertia at the drum": "inertia_kg_m2", "Inertia, plus or minus": "inertia_uncertainty_pct",
        "Engine speed over drum speed": "speed_ratio", "Inertia of the engine itself": "engine_inertia_kg_m2",
        "Drum speed, plus or minus": "speed_uncertainty_pct", "Smooth over": "window_s",
    },
    "road": {
        "Mass as driven": "mass_kg", "Mass, plus or minus": "mass_uncertainty_kg", "Drag area": "drag_area_m2",
        "Drag area, plus or minus": "drag_area_uncertainty_m2", "Rolling resistance": "rolling_resistance",
        "Rolling resistance, plus or minus": "rolling_resistance_uncertainty", "Slope": "slope_pct",
        "Slope, plus or minus": "slope_uncertainty_pct", "Engine speed at 1 km/h": "engine_rpm_per_km_h",
        "Speed, plus or minus": "speed_uncertainty_pct", "Smooth over": "window_s",
    },
}

# ---- what was passed over

PASSED_OVER = [
    Rule(
        "move.no_baseline",
        "There is no baseline: before the strip, read boost, exhaust temperature or smoke at least once, "
        "or enter a power curve. Afterwards it cannot be made up for.",
    ),
    Rule("move.no_run", "There has been no proving run."),
    Rule("move.run_not_decided", "Proving run {run} has not been decided.", run=WHOLE),
    Rule(
        "move.run_to_be_repeated", "Proving run {run} ended with '{decision}'; the next run is missing.",
        run=WHOLE, decision=DECISION,
    ),
    Rule("move.nothing_read", "Nothing was read in proving run {run}.", run=WHOLE),
    Rule("move.beyond_stop", "Beyond a stop limit in proving run {run}. {what}", run=WHOLE),
]
_begins = "|".join((
    "There is no baseline: ", "There has been no proving run", r"Proving run \d+ has not been decided",
    r"Proving run \d+ ended with '", r"Nothing was read in proving run \d+", r"Beyond a stop limit in proving run \d+",
))


def passed_over(text):
    """The pieces of what was passed over, each beginning as one of the sentences does."""
    return re.split(rf" (?={_begins})", text)


# ---- history


def _of_sheet(sheet):
    """One rule a sheet: the same name may stand on two of them."""
    items = {name.lower(): slug for slug, name in SHEET_ITEMS[sheet].items()}
    names = _either(map(re.escape, items))
    figures = _either(map(re.escape, ITEM_UNITS))
    choices = {"good": "good", "needs repair": "repair", "not fit": "bad", "yes": "yes", "no": "no"}

    def item(text):
        name, place = re.fullmatch(rf"({names})(?: (\d+))?", text).groups()
        return {"way": "sheet_item", "sheet": sheet, "item": items[name], "place": int(place or 0), "small": True}

    def what(text):
        if text == "taken back":
            return {"code": "sheet.taken_back", "values": {}}
        if text in choices:
            return {"way": "word", "of": "sheet_choice", "value": choices[text]}
        value, unit = re.fullmatch(rf"({NUMBER}) ({figures})", text).groups()
        return stored(value, unit.removesuffix(" gauge"))

    class OfSheet(Rule):
        def __call__(self, text):
            found = super().__call__(text)
            if found and isinstance(found["values"]["what"], float):
                values = found["values"]
                values["what"] = {
                    "way": "sheet_figure", "sheet": sheet, "item": values["item"]["item"], "value": values["what"],
                }
            return found

    return OfSheet(
        "sheet.found", f"{SHEETS[sheet]}: {{item}}, {{what}}",
        constant={"sheet": {"way": "word", "of": "guided_sheet", "value": sheet}},
        item=Shape(rf"(?:{names})(?: \d+)?", item),
        what=Shape(rf"taken back|{_either(map(re.escape, choices))}|{NUMBER} (?:{figures})", what),
    )


def _corrected(slug):
    """The unit stands behind the second figure only, and is that of both."""
    units = _shown_units(slug)
    after = figure(slug, units)

    class Corrected(Rule):
        def __call__(self, text):
            found = super().__call__(text)
            if found:
                values = found["values"]
                unit = units[re.fullmatch(f"{NUMBER} ?(.*)", values["after"])[1]]
                before = stored(values["before"], unit)
                values["before"] = {"way": "bare_figure", "of": slug, "value": before}
                values["after"] = after.read(values["after"])
            return found

    return Corrected(
        "reading.corrected", f"corrected at {{point}}: {QUANTITIES[slug][0].lower()} {{before}} to {{after}}: {{reason}}",
        constant={"quantity": {"way": "quantity", "of": slug, "small": True}},
        point=POINT, before=Shape(NUMBER), after=Shape(after.pattern),
    )


def _split_somewhere(code, sentence, name, rules):
    """'log read: name. what was found': the name may hold a full stop, so each is tried until the rest can be read."""

    class Split(Rule):
        def __call__(self, text):
            if not text.startswith(sentence):
                return None
            rest = text[len(sentence) :]
            for stop in re.finditer(r"\. ", rest):
                for rule in rules:
                    found = rule(rest[stop.end() :])
                    if found:
                        return {"code": code, "values": {"log": _named(rest[: stop.start()]), name: found}}
            return None

    return Split(code, sentence)


TORQUE, POWER = figure("torque_nm", {"Nm": "Nm"}), figure("power_kw", {"kW": "kW"})
CURVE = {
    "phase": PHASE, "kind": CURVE_KIND, "torque": TORQUE, "torque_at_rpm": REAL, "power": POWER, "power_at_rpm": REAL,
}
_curve = "power curve, {phase}, {kind}: {torque} at {torque_at_rpm} rpm, {power} at {power_at_rpm} rpm"
AGAINST = said(*[
    Rule(
        "smoke.against", f"mean of the last three {{mean}} {unit} ± {{uncertainty}}, limit {{limit}} {unit}",
        constant={"unit": unit}, mean=REAL, uncertainty=REAL, limit=REAL,
    )
    for unit in ("m⁻¹", "%")
])
APART = {"spread": REAL, "unit": Shape("m⁻¹|%"), "allowed": REAL}
_apart = "The last three lie {spread} {unit} apart, allowed is {allowed}"
APART_SAID = said(
    Rule(
        "smoke.apart_and_falling", f"{_apart}, but they fall from one to the next: the exhaust is still clearing", **APART
    ),
    Rule("smoke.apart", _apart, **APART),
)
SNAPS = said(
    Rule("smoke.no_mean", "{apart}. After {snaps} snaps there is no mean to trust.", apart=APART_SAID, snaps=WHOLE),
    Rule("smoke.no_limit", "No limit was chosen, so there is a mean and no verdict."),
    Rule(
        "smoke.no_verdict",
        "{apart}. After {snaps} snaps there is no verdict: warm engine and meter, look at both, begin again.",
        apart=APART_SAID, snaps=WHOLE,
    ),
    Rule("smoke.met_in_doubt", "Limit met: {against}; the meter's error reaches across the limit.", against=AGAINST),
    Rule("smoke.met", "Limit met: {against}.", against=AGAINST),
    Rule("smoke.not_met_in_doubt", "Limit not met: {against}; the meter's error reaches across the limit.", against=AGAINST),
    Rule("smoke.not_met", "Limit not met: {against}.", against=AGAINST),
)
WITH = said(
    Rule("log.column_with", "{column} with {instrument}", once=(" with ",), instrument=Shape(
        "[^,]+",
        lambda text: {"code": "log.no_instrument", "values": {}} if text == "an instrument nobody named" else text,
    ), column=Shape("[^,]+")),
)
EVENTS = {
    "reading": [
        Rule("reading.read", "read, {where}, at {point}: {readings}", where=WHERE, point=POINT, readings=READINGS),
        Rule(
            "reading.sent", "sent by {box}, {where}, at {point}: {readings}", where=WHERE, point=POINT, readings=READINGS
        ),
    ],
    "taken back": [
        Rule("reading.taken_back", "taken back at {point}: {readings}", point=POINT, readings=READINGS),
    ],
    "correction": [
        *[_corrected(slug) for slug in QUANTITIES],
        Rule(
            "smoke.corrected", "smoke test, snap {snap} corrected: {before} to {after} {unit}: {reason}",
            snap=WHOLE, before=SNAP_BEFORE, after=REAL, unit=Shape("m⁻¹|%"),
        ),
    ],
    "smoke": [
        Rule("smoke.begun_without_limit", "smoke test begun, {phase}: oil {oil}, no limit chosen", phase=PHASE, oil=OIL),
        Rule("smoke.begun", "smoke test begun, {phase}: oil {oil}, limit '{limit}'", phase=PHASE, oil=OIL),
        Rule("smoke.ended", "smoke test, {phase}: {verdict}. {what}", phase=PHASE, verdict=VERDICT, what=SNAPS),
    ],
    "curve": [
        Rule("curve.stored_with", f"{_curve}, read with {{instrument}}", **CURVE),
        Rule("curve.stored", _curve, **CURVE),
    ],
    "proving": [
        Rule("proving.started", "proving run {run} started, against the plan '{plan}'", run=WHOLE),
        Rule(
            "proving.oil_unreadable",
            "proving run {run}: oil temperature cannot be read; warmed up by coolant, load and time", run=WHOLE,
        ),
        Rule(
            "proving.cool_down", "proving run {run}: {seconds} s at idle before switching off", run=WHOLE, seconds=REAL
        ),
    ],
    "decision": [
        Rule(
            "proving.decided", "proving run {run}, {verdict}: {decision}. {reason}",
            run=WHOLE, verdict=VERDICT, decision=DECISION,
        ),
    ],
    "sheet": [_of_sheet(sheet) for sheet in SHEETS],
    "log": [
        Rule(
            "log.received_with_recordings", "log received: {log}, {bytes} bytes, {recordings} recordings",
            bytes=WHOLE, recordings=WHOLE,
        ),
        Rule("log.received", "log received: {log}, {bytes} bytes", bytes=WHOLE),
        _split_somewhere("log.received_unreadable", "log received that cannot be read: ", "why", REFUSED),
        _split_somewhere("log.read", "log read: ", "finding", FIRST),
        Rule("log.taken_back", "log taken back: {log}", log=LOG),
        Rule("log.read_with", "log {log}: read {columns}", once=(": read ",), log=LOG, columns=many(WITH, ", ")),
    ],
}
