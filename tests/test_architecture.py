"""The floors hold: arrows point down, the physics knows no Django, and files stay small enough to read."""

import ast
from collections import Counter, defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
FLOORS = {"sizing": 0, "shop": 1, "measurements": 2}
PLUG_POINTS = {"shop/settings.py", "shop/urls.py"}


def _files(*folders: str) -> list[Path]:
    found = [p for folder in folders for p in sorted((ROOT / folder).rglob("*.py")) if "migrations" not in p.parts]
    assert found, f"no module in {folders}: has it moved?"
    return found


def _found(pattern: str, *folders: str) -> list[Path]:
    found = [path for folder in folders for path in sorted((ROOT / folder).rglob(pattern))]
    assert found, f"nothing like {pattern} in {folders}: has it moved?"
    return found


def _imports(path: Path) -> list[str]:
    names = []
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            names += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            names.append(node.module)
    return names


@pytest.mark.parametrize("floor", FLOORS)
def test_imports_point_down(floor):
    for path in _files(floor):
        for name in _imports(path):
            other = name.split(".")[0]
            if other in FLOORS:
                assert FLOORS[other] <= FLOORS[floor], f"{path.relative_to(ROOT)} imports {name}, which stands above it"


def test_the_physics_knows_no_django():
    for path in _files("sizing/physics"):
        for name in _imports(path):
            top = name.split(".")[0]
            assert top not in {"django", "shop", "measurements"}, f"{path.name} imports {name}"
            assert top != "sizing" or name.startswith(("sizing.physics", "sizing.units.conversion")), (
                f"{path.name} imports {name}"
            )


@pytest.mark.parametrize("floor", ["sizing", "shop"])
def test_lower_floors_never_name_the_top_floor(floor):
    for path in _files(floor):
        if str(path.relative_to(ROOT)) not in PLUG_POINTS:
            code = "\n".join(
                ast.unparse(node) for node in ast.parse(path.read_text()).body if not isinstance(node, ast.Expr)
            )
            assert "measurements." not in code, f"{path.relative_to(ROOT)} names the top floor"


def test_inside_a_floor_forms_know_no_actions_and_template_tags_no_views():
    barred = {"forms": {"actions", "views"}, "templatetags": {"views"}, "models": {"actions", "forms", "views"}}
    for path in _files(*FLOORS):
        for name in _imports(path):
            top, *rooms = name.split(".")
            if top in FLOORS and (crossed := barred.get(path.parent.name, set()).intersection(rooms)):
                raise AssertionError(f"{path.relative_to(ROOT)} imports {name}: {path.parent.name} know no {crossed}")


def test_no_private_name_crosses_files():
    for path in _files(*FLOORS):
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom):
                private = [a.name for a in node.names if a.name.startswith("_") and not a.name.startswith("__")]
                assert not private, f"{path.relative_to(ROOT)} imports {private} from {node.module}"


def test_no_room_is_a_hall():
    """A folder holds what belongs to one subject, at most twelve modules of its own."""
    rooms = Counter(path.parent for path in _files(*FLOORS) if path.name != "__init__.py")
    halls = {str(room.relative_to(ROOT)): many for room, many in rooms.items() if many > 12}
    assert len(rooms) > 40
    assert not halls


# Django asks for this name in every command.
SHARED_NAMES = {"Command"}


def test_no_two_public_names_are_alike():
    """A name says one thing, on whichever floor it stands."""
    places = defaultdict(set)
    for path in _files(*FLOORS):
        for node in ast.parse(path.read_text()).body:
            if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_"):
                places[node.name].add(str(path.relative_to(ROOT)))
    assert len(places) > 1000
    alike = {name: sorted(where) for name, where in places.items() if len(where) > 1 and name not in SHARED_NAMES}
    assert not alike


def test_days_are_taken_and_times_are_written_by_the_clock_of_the_workshop():
    """A moment is kept in UTC: its own `.date()` or text is that of UTC, `timezone.localdate` and `localtime` know the zone."""
    for path in _files(*FLOORS):
        if "demo" in path.parts:  # lives in the zone of its invented workshop
            continue
        for node in ast.walk(ast.parse(path.read_text())):
            where = f"{path.relative_to(ROOT)}:{getattr(node, 'lineno', 0)}"
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr == "date":
                raise AssertionError(f"{where} takes the day of a moment by itself")
            if isinstance(node, ast.FormattedValue) and "%" in ast.unparse(node.format_spec or ast.Constant(0)):
                said = ast.unparse(node.value)
                assert "timezone.local" in said or said.endswith("on"), f"{where} writes {said} in any zone"


def test_files_stay_readable():
    for path in _files(*FLOORS):
        tree = ast.parse(path.read_text())
        documented = [
            n
            for n in ast.walk(tree)
            if isinstance(n, ast.Module | ast.ClassDef | ast.FunctionDef) and ast.get_docstring(n)
        ]
        words = sum(n.body[0].end_lineno - n.body[0].lineno + 1 for n in documented)
        code = len(path.read_text().splitlines()) - words
        assert code <= 400, f"{path.relative_to(ROOT)} has grown too long ({code} lines of code): split it by noun"


def test_migrations_have_names_given_by_hand():
    for path in _found("migrations/*.py", *FLOORS):
        assert "_auto_" not in path.name, path.name


def test_fragments_never_extend_a_page():
    for path in _found("_*.html", "templates", *FLOORS):
        assert "{% extends" not in path.read_text(), path.name


def test_templates_carry_no_inline_script_or_style():
    for path in _found("*.html", "templates", *FLOORS):
        text = path.read_text()
        for bad in (' style="', " onclick=", " onchange=", " onsubmit=", "javascript:"):
            assert bad not in text, f"{path.name} holds {bad.strip()}, which the content security policy blocks"
