"""Each test asserts something that is always reached, and more than the status of an answer."""

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

HERE = Path(__file__).parent
TREES = {path: ast.parse(path.read_text(encoding="utf-8")) for path in sorted(HERE.rglob("*.py"))}
# Calls that fail by themselves when what they say is not so.
SAYS = {"raises", "warns", "fail", "expect", "call_and_validate"}


def _functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    return (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef))


def _saying_calls(node: ast.AST, helpers: set[str]) -> bool:
    """Calls that assert: by their name, or because they are a helper of ours (`name` a function, `.name` a method)."""
    for call in (n for n in ast.walk(node) if isinstance(n, ast.Call)):
        name = ast.unparse(call.func).split(".")[-1]
        if name in SAYS or "assert_" in name or ("." * isinstance(call.func, ast.Attribute) + name) in helpers:
            return True
    return False


def _says(node: ast.AST, helpers: set[str]) -> bool:
    return any(isinstance(n, ast.Assert) for n in ast.walk(node)) or _saying_calls(node, helpers)


def _goes_round(loop: ast.For) -> bool:
    """A list written out, a range of a number, or a table of the module (in capitals): these are never empty."""
    over = loop.iter
    while isinstance(over, ast.Call) and (over.args or isinstance(over.func, ast.Attribute)):
        if ast.unparse(over.func) == "range":
            return all(isinstance(end, ast.Constant) for end in over.args)
        over = over.args[0] if over.args else over.func.value
    if isinstance(over, ast.Tuple | ast.List | ast.Set):
        return bool(over.elts)
    return isinstance(over, ast.Dict) or (isinstance(over, ast.Name | ast.Attribute) and ast.unparse(over).isupper())


def _reached(body: list[ast.stmt]) -> Iterator[ast.AST]:
    """The statements that run whenever the test does."""
    for node in body:
        if isinstance(node, ast.For):
            yield node.iter
            if _goes_round(node):
                yield from _reached(node.body)
        elif isinstance(node, ast.With | ast.Try):
            yield from getattr(node, "items", [])
            yield from _reached(node.body)
            yield from _reached(getattr(node, "finalbody", []))
        elif not isinstance(node, ast.If | ast.While | ast.FunctionDef):
            yield node


def _helpers() -> set[str]:
    """Functions and methods of the tests that assert something themselves."""
    methods = {
        id(node) for tree in TREES.values() for c in ast.walk(tree) if isinstance(c, ast.ClassDef) for node in c.body
    }
    return {
        "." * (id(f) in methods) + f.name
        for tree in TREES.values()
        for f in _functions(tree)
        if not f.name.startswith("test_") and any(_says(node, set()) for node in _reached(f.body))
    }


HELPERS = _helpers()
TESTS = {
    f"{path.relative_to(HERE)}:{f.lineno} {f.name}": f
    for path, tree in TREES.items()
    for f in _functions(tree)
    if f.name.startswith("test_")
}


def _holds(code: str) -> bool:
    [test] = _functions(ast.parse(code))
    return _asserts_always(test) and not _asserts_only_a_status(test)


def _asserts_always(test: ast.FunctionDef) -> bool:
    return any(_says(node, HELPERS) for node in _reached(test.body))


def _asserts_only_a_status(test: ast.FunctionDef) -> bool:
    asserts = [node.test for node in ast.walk(test) if isinstance(node, ast.Assert)]
    return bool(asserts) and not _saying_calls(test, HELPERS) and all(_is_a_status(said) for said in asserts)


def _is_a_status(said: ast.expr) -> bool:
    return isinstance(said, ast.Compare) and ast.unparse(said.left).endswith(".status_code") and len(said.ops) == 1


def test_each_asserts_something_whenever_it_runs():
    """Not only under an if, or in a loop over what may be empty."""
    assert len(TESTS) > 1000
    assert [name for name, test in TESTS.items() if not _asserts_always(test)] == []


def test_each_asserts_more_than_a_status():
    """What the answer says, or what it stored: `tests/answers.py` holds the usual refusals."""
    assert [name for name, test in TESTS.items() if _asserts_only_a_status(test)] == []


@pytest.mark.parametrize(
    ("holds", "body"),
    [
        (True, "assert f() == 1"),
        (True, "for x in (1, 2):\n  assert x"),
        (True, "for x in sorted(TABLE.items()):\n  assert x"),
        (True, "with pytest.raises(ValueError):\n  f()"),
        (True, "for x in rows:\n  assert x\n assert rows"),
        (True, "assert a.status_code == 422\n assert 'words' in a.text"),
        (False, "f()"),
        (False, "for x in rows:\n  assert x"),
        (False, "for x in ():\n  assert x"),
        (False, "if rows:\n  assert rows[0]"),
        (False, "assert client.get('/').status_code == 200"),
    ],
)
def test_the_rule_knows_both_sides(holds, body):
    assert _holds(f"def test_it():\n {body}") == holds
