"""What rules of other rooms may say to who works on the bench, read from the code as `tests/sayings.py` reads it."""

import ast
from collections.abc import Iterator
from functools import cache

from tests.sayings import PASSED_ON, ROOT, Saying, _assigned, _several, _texts, sayings

READERS = (
    *("catalog/text.py", "catalog/tree.py", "catalog/validate.py", "catalog/wording.py", "catalog/record.py"),
    *("catalog/sense/tag.py", "catalog/sense/scope.py", "catalog/sense/mould.py", "catalog/sense/remark.py"),
    *("catalog/links/tag.py", "catalog/links/trial.py", "catalog/links/scope.py", "catalog/links/point.py"),
    "model/scalars.py",
)
"""What reads the files that the bench writes: tags, trials, what was looked at, microscopes."""
REFUSING = (
    *("tasks/ask.py", "tasks/note.py", "tasks/opened.py", "tasks/pointed.py", "tasks/acting.py", "tasks/kinds.py"),
    *("tasks/calibrate.py", "tasks/shiftcheck.py", "tasks/micrometer.py", "tasks/lookedback.py", "tasks/gather.py"),
    *("log/append.py", "catalog/change.py", "problem.py"),
    *(f"pictures/{each.name}" for each in sorted((ROOT / "pictures").glob("*.py"))),
)
"""What asks, notes, calibrates, checks, looks back, and shows pictures."""
SAID = ("PortalError", "PictureUnreadable", "BrokenDirectory", "super().__init__")
"""Calls of which the first two arguments, and `hint`, are said."""
WORD_AT = {"at_least": 3, "exactly": 3, "ends": 2, "each_once": 2, "to_record": 3}
"""Which argument of a call is a word that stands in another message."""
LISTS = {"pictures/kinds.py": ("AS_WHAT", "AS_WHICH", "_STRANGERS"), "tasks/micrometer.py": ("WHY",)}
"""Constants of which all texts are said."""
WORDS = {
    "catalog/validate.py": ("a list", "keys with values", "here", "of a `{}`"),
    "catalog/links/tag.py": ("piece", "cavity", "shot"),
    "tasks/opened.py": ("can't be read: {}", "is not there", " any more"),
}
"""Texts that a module puts into another message by a name of its own."""


@cache
def passed_on() -> tuple[Saying, ...]:
    """Every message and every hint, each once."""
    found = [each for each in sayings() if each.where.partition(":")[0] in READERS]
    for name in REFUSING:
        found += _of_file(name)
    for name in dict.fromkeys((*READERS, *REFUSING, "bench/asking.py")):
        found += _words(name)
    return tuple({each.text: each for each in found if each.text not in (*PASSED_ON, "")}.values())


def _of_file(name: str) -> Iterator[Saying]:
    tree = ast.parse((ROOT / name).read_text("utf-8"))
    shared = dict(_assigned(tree.body))
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef):
            own = dict(_several(function))
            for node in ast.walk(function):
                for line, text in _of_node(function.name, node, own, shared):
                    yield Saying(f"{name}:{line}", text)


def _words(name: str) -> Iterator[Saying]:
    """What a module puts into the gaps of messages."""
    tree = ast.parse((ROOT / name).read_text("utf-8"))
    texts = {text for node in ast.walk(tree) if isinstance(node, ast.expr) for text in _texts(node, {}, {})}
    for each in WORDS.get(name, ()):
        assert each in texts, f"{name} no longer says `{each}`"
        yield Saying(name, each)
    for constant, value in _assigned(tree.body):
        if constant in LISTS.get(name, ()):
            whole = value.values if isinstance(value, ast.Dict) else [value]
            yield from (Saying(name, text) for one in whole for each in ast.walk(one) for text in _text(each))
    for call in (each for each in ast.walk(tree) if isinstance(each, ast.Call)):
        at = WORD_AT.get(ast.unparse(call.func), len(call.args))
        said = [*call.args[at : at + 1], *(each.value for each in call.keywords if each.arg == "to")]
        yield from (Saying(f"{name}:{call.lineno}", text) for each in said for text in _text(each))


def _text(node: ast.AST) -> tuple[str, ...]:
    return (node.value,) if isinstance(node, ast.Constant) and isinstance(node.value, str) else ()


def _of_node(
    function: str, node: ast.AST, own: dict[str, list[ast.expr]], shared: dict[str, ast.expr]
) -> Iterator[tuple[int, str]]:
    if isinstance(node, ast.Return) and node.value is not None and function in ("did_you_mean", "describe_stranger"):
        said = node.value.args[1] if isinstance(node.value, ast.Call) else node.value  # `next(…, what else it is)`
        yield from ((node.lineno, each) for each in _deep(said, own, shared))
    if isinstance(node, ast.Call) and ast.unparse(node.func) in SAID:
        for part in (*node.args[:2], *(each.value for each in node.keywords if each.arg == "hint")):
            yield from ((node.lineno, each) for each in _deep(part, own, shared))


def _deep(node: ast.expr, own: dict[str, list[ast.expr]], shared: dict[str, ast.expr]) -> Iterator[str]:
    match node:
        case ast.BoolOp(values=values):
            for each in values:
                yield from _deep(each, own, shared)
        case ast.IfExp(body=one, orelse=other):
            yield from _deep(one, own, shared)
            yield from _deep(other, own, shared)
        case ast.Name(id=name) if name in own:
            for each in own[name]:
                yield from _deep(each, own, shared)
        case ast.Name(id=name) if name in shared:
            yield from _deep(shared[name], {}, {})
        case _:
            yield from _texts(node, own, shared)
