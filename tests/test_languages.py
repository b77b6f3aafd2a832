"""Another language is a catalogue: history, findings and refusals are made of it when shown. The language is invented."""

import ast
import json
import re
from pathlib import Path

import polib
import pytest
from django.utils import translation

from measurements.logs.reading import read_log
from measurements.phone.words import phone_words
from measurements.readings.actions import ReadingRefused, record_point
from measurements.readings.models import Point
from measurements.verdict.findings import judge_all
from measurements.verdict.run import stops_of_run
from shop.jobs.moves import MoveRefused, move_job
from sizing.said import sentences, ways
from sizing.tables.refused import FileRefused
from sizing.templatetags.quantities import verdict
from sizing.units.conversion import PINT_NAME
from sizing.units.display import shown_in
from tests.builders import NOW, make_job
from tests.measurements.logs.log_files import run_up_log
from tests.measurements.logs.test_pages import receive_log
from tests.measurements.phone.builders import make_proving_job

ROOT = Path(__file__).resolve().parent.parent
ARVANI = {
    "read, %(where)s, at %(point)s: %(readings)s": "%(readings)s: lesu %(point)s be, %(where)s",
    "before the fit": "nim feto",
    "%(speed).0f rpm, %(load).0f %% load": "%(load).0f %% pon, %(speed).0f vol",
    "Boost": "Tovu",
    "No load, not a boost test: %(why)s": "Pon nai: %(why)s",
    "boost never rose above %(boost)s": "tovu nai supra %(boost)s",
    "The survey sheet has not been filled in.": "Foli nai plenu.",
    "The file is empty. Save it again and send that.": "Fil nulu.",
    "Nothing was typed yet: fill in at least one reading.": "Nai skribu.",
    "booked": "notu",
    "surveyed": "videtu",
    "%(quantity)s %(value)s": "%(value)s da %(quantity)s",
    "stop limit %(stop)s, passed by %(gap)s (from %(limit)s on it is too much: %(source)s)": "halt %(stop)s, %(gap)s tro (%(limit)s, %(source)s)",
    "At %(point)s: %(what)s": "%(what)s (%(point)s)",
    "Oil pressure": "Olpreso",
    "10 psi for each 1,000 rpm, hot engine, common practice": "maldika oleo",
    "Oil does not reach the bearings": "Oleo nai venu",
    "Speaks for it: %(signs)s.": "Diru: %(signs)s.",
    "low oil pressure": "malta olpreso",
    "Stop the engine now. Do not let it idle.": "Haltu nun.",
    "stop": "halt",
    "%(from)s to %(to)s, past: %(missing)s": "%(to)s le %(from)s, maku: %(missing)s",
}
RUN_UP = (
    "%(channel)s reached its top %(count)s time, but never for %(seconds)g s. "
    "That is a run-up without load; %(boost)s.",
    "%(channel)s reached its top %(count)s times, but never for %(seconds)g s. "
    "That is a run-up without load; %(boost)s.",
)


@pytest.fixture
def arvani(settings, tmp_path):
    """The language's catalogue, compiled as a translator's would be."""
    catalogue = polib.POFile()
    catalogue.metadata = {
        "Content-Type": "text/plain; charset=utf-8",
        "Plural-Forms": "nplurals=2; plural=(n != 1);",
        "Language": "qav",
    }
    catalogue.extend(polib.POEntry(msgid=english, msgstr=words) for english, words in ARVANI.items() if words)
    one = "%(count)s ga %(channel)s, nai %(seconds)g s; %(boost)s."
    catalogue.append(polib.POEntry(msgid=RUN_UP[0], msgid_plural=RUN_UP[1], msgstr_plural={0: one, 1: f"ga-ga {one}"}))
    folder = tmp_path / "locale" / "qav" / "LC_MESSAGES"
    folder.mkdir(parents=True)
    catalogue.save_as_mofile(str(folder / "django.mo"))
    settings.LOCALE_PATHS = [tmp_path / "locale"]
    with translation.override("qav"):
        yield


@pytest.mark.django_db
def test_a_history_is_read_in_another_language_and_other_units(arvani, technician):
    job = make_job(technician)
    with translation.override("en"):
        record_point(job, "before", 1800, 100, {"boost_kpa": 12.0}, technician, taken_at=NOW)
    event = job.events.get(kind="reading")
    assert (event.code, event.values["readings"][0]["value"]) == ("reading.read", 12.0)
    with shown_in({"pressure": "bar"}):
        assert event.text == "tovu 0.12 bar gauge: lesu 100 % pon, 1800 vol be, nim feto"
    with translation.override("en"):
        assert event.text == "read, before the fit, at 1800 rpm, 100 % load: boost 12 kPa gauge"


@pytest.mark.django_db
def test_what_was_passed_over_is_read_in_another_language(arvani, owner):
    job = make_job(owner)
    with pytest.raises(MoveRefused) as refused:
        move_job(job, "surveyed", owner)
    assert str(refused.value) == "Foli nai plenu."
    event = move_job(job, "surveyed", owner, reason="seen last year")
    assert event.text == "videtu le notu, maku: Foli nai plenu."


@pytest.mark.django_db
def test_a_log_says_what_it_shows_in_another_language(arvani, technician):
    log = read_log(receive_log(make_job(technician), "before", "run.csv", run_up_log(), technician), None, technician)
    assert log.findings[0]["code"] == "log.no_load"
    assert str(log.told[0]) == "Pon nai: 1 ga pedal or lever, nai 2 s; tovu nai supra 2 kPa gauge."


@pytest.mark.django_db
def test_refusals_are_said_in_another_language(arvani, technician):
    job = make_job(technician)
    with pytest.raises(FileRefused) as refused:
        receive_log(job, "before", "run.csv", b"", technician)
    assert (refused.value.said.code, str(refused.value)) == ("file.empty", "Fil nulu.")
    with pytest.raises(ReadingRefused) as refused:
        record_point(job, "before", 1800, 100, {}, technician)
    assert refused.value.errors == {"": "Nai skribu."}


@pytest.mark.django_db
def test_a_verdict_and_its_causes_are_said_in_another_language(arvani, technician):
    """At 2000 rpm the limit is 138 kPa (10 psi for each 1,000 rpm) and the stop 70 kPa; 60 is 10 kPa past it."""
    job = make_job(technician)
    record_point(job, "before", 2000, 100, {"oil_pressure_kpa": 60.0}, technician, taken_at=NOW)
    [found] = judge_all(Point.objects.of(job).with_readings(), None)
    assert found.word == "stop"
    assert "</svg>halt<" in verdict(found.word)
    said = "60 kPa gauge da Olpreso; halt 70 kPa gauge, 10 kPa tro (138 kPa gauge, maldika oleo)."
    assert found.told[0].sentence == said
    with shown_in({"pressure": "bar"}):
        assert found.told[0].sentence.startswith("0.60 bar gauge da Olpreso; halt 0.70 bar gauge, 0.10 bar tro")
    assert (found.suspects[0].cause.slug, str(found.suspects[0].cause.title)) == (
        "low_oil_pressure",
        "Oil pressure is low: worn bearings, pump or relief valve",
    )
    assert found.suspects[0].evidence.startswith("Diru: malta olpreso (60 kPa gauge")
    assert found.advice[0] == "Haltu nun."
    assert phone_words()["finding.measured"] == "%(value)s da %(quantity)s"


@pytest.mark.django_db
def test_a_stop_that_was_passed_over_is_kept_as_a_code(arvani, owner):
    job, run = make_proving_job(owner)
    record_point(job, "after", 2000, 100, {"oil_pressure_kpa": 60.0}, owner, run=run, taken_at=NOW)
    [stop] = stops_of_run(run)
    assert (stop.code, stop.values["what"]["code"]) == ("stop.at_point", "finding.stands_on")
    assert json.loads(json.dumps(stop.kept())) == stop.kept()
    assert str(stop) == (
        "60 kPa gauge da Olpreso; halt 70 kPa gauge, 10 kPa tro (138 kPa gauge, maldika oleo). (100 % pon, 2000 vol)"
    )


# ---- every code has its sentence, and is given what the sentence asks for


def _calls() -> list[tuple[str, ast.Call]]:
    """Where a code is written down: `Said("code", {...})`, `SomethingRefused("code", name=value)`."""
    found = []
    for floor in ("sizing", "shop", "measurements"):
        for path in sorted((ROOT / floor).rglob("*.py")):
            if "migrations" in path.parts:
                continue
            for node in ast.walk(ast.parse(path.read_text())):
                if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.args:
                    first = node.args[0]
                    is_one = node.func.id == "Said" or node.func.id.endswith("Refused")
                    if (
                        is_one
                        and isinstance(first, ast.Constant)
                        and re.fullmatch(r"[a-z_]+(\.\w+)+", str(first.value))
                    ):
                        found.append((str(path.relative_to(ROOT)), node))
    return found


def _asked_for(code: str) -> set[str]:
    """The placeholders of a sentence."""

    class Asked(dict):
        def __missing__(self, name):
            self[name] = 1
            return 1

    asked = Asked()
    assert str(sentences()[code] % asked)
    return set(asked)


def test_every_code_that_is_written_down_has_its_sentence():
    calls = _calls()
    assert len(calls) > 150
    unknown = {(path, node.args[0].value) for path, node in calls if node.args[0].value not in sentences()}
    assert not unknown


def test_every_way_to_write_a_value_is_known():
    used = set()
    for floor in ("sizing", "shop", "measurements"):
        for path in (ROOT / floor).rglob("*.py"):
            used |= set(re.findall(r'\{\s*"way": "(\w+)"', path.read_text()))
    assert {"figure", "word", "reading", "point", "sheet_item"} <= used
    assert used <= set(ways())


def test_every_sentence_is_given_what_it_asks_for():
    checked = 0
    for path, node in _calls():
        code, given = node.args[0].value, None
        if node.func.id == "Said" and len(node.args) == 1:
            given = set()
        elif node.func.id == "Said" and isinstance(node.args[1], ast.Dict) and None not in node.args[1].keys:
            given = {key.value for key in node.args[1].keys}
        elif node.func.id != "Said" and all(keyword.arg for keyword in node.keywords):
            given = {keyword.arg for keyword in node.keywords}
        if given is not None:
            checked += 1
            assert _asked_for(code) <= given, f"{path}: {code} lacks {_asked_for(code) - given}"
    assert checked > 120


# ---- no code compares or splits prose

# The words of others: what they wrote has no code.
OF_OTHERS = {
    ("measurements/logs/parsing/cells.py", "Empty CSV"),  # the reason of pyarrow
    # the name of a group of people, as Django stores it
    ("shop/access/roles.py", "front desk"),
    ("measurements/roles.py", "front desk"),
    ("measurements/demo/load.py", "front desk"),
    # names of units that the columns of files have
    ("measurements/logs/parsing/clock.py", "clock, h:min:s"),
    ("measurements/logs/parsing/clock.py", "date and clock"),
    ("measurements/logs/parsing/clock.py", "unit in each cell"),
    ("measurements/logs/words.py", "clock, h:min:s"),
    ("measurements/logs/words.py", "date and clock"),
}
LOOK_INTO = {
    "startswith", "endswith", "split", "rsplit", "partition", "rpartition", "find", "rfind", "index", "count",
    "removeprefix", "removesuffix",
}  # fmt: skip


def _is_prose(text: object) -> bool:
    return isinstance(text, str) and " " in text.strip() and text not in PINT_NAME


def _prose_in(node: ast.AST | None, constants: dict[str, set[str]]) -> set[str]:
    """Texts with a blank between words, but for units, that a node is, holds, or names."""
    if isinstance(node, ast.Constant):
        return {node.value} if _is_prose(node.value) else set()
    if isinstance(node, ast.Tuple | ast.List | ast.Set):
        flat = [part for part in node.elts if isinstance(part, ast.Constant | ast.Name)]  # no pair of code and word
        return {text for part in flat for text in _prose_in(part, constants)}
    if isinstance(node, ast.Dict):
        return {text for key in node.keys for text in _prose_in(key, constants)}
    if isinstance(node, ast.Name):
        return constants.get(node.id, set())
    return set()


def _constants(tree: ast.Module) -> dict[str, set[str]]:
    """The prose that names at the top of a module stand for."""
    found: dict[str, set[str]] = {}
    for node in tree.body:
        if not isinstance(node, ast.Assign):
            continue
        for target in node.targets:
            pairs = [(target, node.value)]
            if isinstance(target, ast.Tuple) and isinstance(node.value, ast.Tuple):
                pairs = list(zip(target.elts, node.value.elts, strict=True))
            found |= {name.id: _prose_in(value, {}) for name, value in pairs if isinstance(name, ast.Name)}
    return {name: texts for name, texts in found.items() if texts and name.isupper()}


def _looked_into(node: ast.AST) -> list[ast.AST]:
    """What a comparison, a method that looks into a text, a look-up in a written-out table or a `case` asks for."""
    if isinstance(node, ast.Compare):
        return [node.left, *node.comparators]
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute):
        if node.func.attr in LOOK_INTO:
            return list(node.args)
        return [node.func.value] if node.func.attr == "get" and isinstance(node.func.value, ast.Dict) else []
    if isinstance(node, ast.Subscript):
        return [node.slice, *([node.value] if isinstance(node.value, ast.Dict) else [])]
    return [node.value] if isinstance(node, ast.MatchValue) else []


def prose_compared(trees: dict[str, ast.Module]) -> set[tuple[str, str]]:
    """File and text of each place where prose is compared or split; constants may come from another module."""
    own = {path: _constants(tree) for path, tree in trees.items()}
    found = set()
    for path, tree in trees.items():
        known = dict(own[path])
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                of = own.get(f"{node.module.replace('.', '/')}.py", {})
                known |= {each.asname or each.name: of[each.name] for each in node.names if each.name in of}
        asked = [part for node in ast.walk(tree) for part in _looked_into(node)]
        found |= {(path, text) for part in asked for text in _prose_in(part, known)}
    return found


@pytest.mark.parametrize(
    "code",
    [
        'x == "off plan"', 'x in ("stop", "off plan")', 'x.startswith("off plan")', 'x.split("off plan")',
        '{"off plan": 1}.get(x)', '{"off plan": 1}[x]', 'table["off plan"]', 'OFF = "off plan"\nx == OFF',
        'ON, OFF = "on", "off plan"\nx != OFF', 'match x:\n    case "off plan":\n        pass',
    ],
)  # fmt: skip
def test_prose_that_is_compared_is_found(code):
    assert prose_compared({"x.py": ast.parse(code)}) == {("x.py", "off plan")}


@pytest.mark.parametrize("code", ['x == "off_plan"', 'x.split(" ")', 'print("off plan")', 'x = "off plan"'])
def test_codes_and_blanks_are_no_prose(code):
    assert prose_compared({"x.py": ast.parse(code)}) == set()


def test_no_code_compares_or_splits_prose():
    trees = {
        str(path.relative_to(ROOT)): ast.parse(path.read_text())
        for floor in ("sizing", "shop", "measurements")
        for path in (ROOT / floor).rglob("*.py")
        if "migrations" not in path.parts
    }
    assert len(trees) > 200
    assert prose_compared(trees) == OF_OTHERS


def test_no_template_compares_prose():
    templates = list((ROOT / "templates").rglob("*.html"))
    assert len(templates) > 100
    compared = re.compile(r"""\{%[^%]*(?:==|!=|\bin) ["'][^"'%]*\w \w[^"'%]*["']""")
    assert compared.search('{% if x == "not known" %}')
    assert not {str(path) for path in templates if compared.search(path.read_text())}


def test_every_code_that_the_phone_says_is_sent_to_it():
    scripts = ROOT / "measurements" / "static" / "measurements" / "phone"
    named = {
        code
        for path in scripts.glob("*.js")
        for code in re.findall(r'"((?:phone|figure|finding|note)\.\w+)"', path.read_text())
    }
    assert len(named) > 80
    assert named <= phone_words().keys()
    made = {f"finding.{state}_{end}" for state in ("past", "within") for end in ("highest", "lowest")}
    unsaid = phone_words().keys() - named - made
    assert not unsaid


def test_the_phone_compares_no_prose():
    scripts = list((ROOT / "measurements" / "static" / "measurements" / "phone").glob("*.js"))
    compared = re.compile(r'''[=!]==? *"[^"]*\w \w[^"]*"''')
    assert compared.search('if (word === "off plan")')
    assert scripts
    assert not [path.name for path in scripts if compared.search(path.read_text())]
