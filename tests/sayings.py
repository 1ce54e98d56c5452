"""What `portal check` can say, read from the code: each message with a gap wherever a value is filled in."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from io import BytesIO
from pathlib import Path

from babel.messages.pofile import read_po

import portal
from portal.resources import templates

ROOT = Path(portal.__file__).parent
MESSAGE_AT = {
    "say": 2,
    "note": 1,
    "_note": 2,
    "refuse": 1,
    "Remark": 1,
    "Fault": 1,
    "fault": 1,
    "Problem": 3,
    "problem": 1,
    "_Stop": 1,
    "_without": 0,
    "ValueError": 0,
}
"""Which argument of a call is a message."""
WHAT_AT = {"to_one_of": (5, "`{}` is WHAT{}"), "_wrong": (1, "expected WHAT, found {}")}
"""Which argument of a call stands in the middle of another message."""
GAP = "{}"
PASSED_ON = {"`{}` is {}{}", "expected {}, found {}", "{}: {}", "{}"}
"""Messages of which the words come from elsewhere, where they are read too."""
SPOKEN = {
    "pages.po": ("lapse.near-vision", "lapse.colour-vision", "lapse.untrained"),
    "measure.po": tuple(
        f"measure.no-scale.{each}" for each in ("known-feature", "reference", "bar", "file", "file-contradicts")
    ),
}
"""Sentences that pages say too, by the message catalogue in which they stand."""


@dataclass(frozen=True)
class Saying:
    """A message as the code writes it, and where."""

    where: str
    text: str

    def fits(self, message: str) -> bool:
        """Whether a message is this one with its gaps filled."""
        return re.fullmatch(".+?".join(map(re.escape, self.text.split(GAP))), message, re.DOTALL) is not None


@cache
def sayings() -> tuple[Saying, ...]:
    """Every message of reading and checking a catalogue."""
    tasks = ("check", "guarding", "fitting", "lookback", "recorded")
    files = [*sorted((ROOT / "catalog").rglob("*.py")), *(ROOT / f"tasks/{name}.py" for name in tasks)]
    found = [each for file in (*files, ROOT / "model/scalars.py", ROOT / "log/read.py") for each in _of_file(file)]
    found = [each for each in (*found, *_spoken()) if each.text not in PASSED_ON]
    return tuple({(each.where.partition(":")[0], each.text): each for each in found}.values())


def _of_file(file: Path) -> Iterator[Saying]:
    tree = ast.parse(file.read_text("utf-8"))
    shared = dict(_assigned(tree.body))
    for function in ast.walk(tree):
        if isinstance(function, ast.FunctionDef):
            own = dict(_several(function))
            for call in ast.walk(function):
                if isinstance(call, ast.Call):
                    for text in _of_call(call, own, shared):
                        yield Saying(f"{file.relative_to(ROOT)}:{call.lineno}", text)
            if function.name == "sentence":
                for each in ast.walk(function):
                    if isinstance(each, ast.Return) and isinstance(each.value, ast.Tuple):
                        for text in _texts(each.value.elts[0], own, shared):
                            yield Saying(f"{file.relative_to(ROOT)}:{each.lineno}", text)


def _spoken() -> Iterator[Saying]:
    for file, keys in SPOKEN.items():
        messages = read_po(BytesIO((templates() / "locale/en" / file).read_bytes()), locale="en")
        for key in keys:
            text = re.sub(r"\{\w+\}", GAP, str(messages[key].string))
            yield Saying(f"{file}:{key}", f"{GAP}: {text}" if key.startswith("lapse") else text)


def _of_call(call: ast.Call, own: dict[str, list[ast.expr]], shared: dict[str, ast.expr]) -> Iterator[str]:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    if name in MESSAGE_AT and len(call.args) > MESSAGE_AT[name]:
        yield from _texts(call.args[MESSAGE_AT[name]], own, shared)
    if name in WHAT_AT and len(call.args) > WHAT_AT[name][0]:
        at, around = WHAT_AT[name]
        for text in _texts(call.args[at], own, shared):
            yield around.replace("WHAT", text)


def _texts(node: ast.expr, own: dict[str, list[ast.expr]], shared: dict[str, ast.expr]) -> Iterator[str]:
    """What an expression may be as text; a name stands for all that the function gives it."""
    match node:
        case ast.Constant(value=str(text)):
            yield text
        case ast.JoinedStr(values=parts):
            yield from _joined(parts, own, shared)
        case ast.IfExp(body=one, orelse=other):
            yield from _texts(one, own, shared)
            yield from _texts(other, own, shared)
        case ast.Name(id=name) if name in own:
            for each in own[name]:
                yield from _texts(each, own, shared)
        case ast.Subscript(value=ast.Name(id=name)) if isinstance(shared.get(name), ast.Dict):
            for each in getattr(shared[name], "values", ()):
                yield from _texts(each, own, shared)
        case ast.Call(func=ast.Attribute(value=ast.Name(id=name), attr="get"), args=[_, other]) if name in shared:
            for each in (*getattr(shared[name], "values", ()), other):
                yield from list(_texts(each, own, shared)) or [GAP]
        case _:
            return


def _joined(parts: list[ast.expr], own: dict[str, list[ast.expr]], shared: dict[str, ast.expr]) -> Iterator[str]:
    """An f-string: a name in it that the function made of text is written out, all else is a gap."""
    made = [""]
    for part in parts:
        inner = part.value if isinstance(part, ast.FormattedValue) else part
        named = isinstance(inner, ast.Call) or getattr(inner, "id", "") in {"message", "said", "why", "what"}
        texts = list(_texts(inner, own, shared)) if named or isinstance(inner, ast.Constant) else []
        made = [before + text for before in made for text in (texts or [GAP])]
    yield from made


def _several(function: ast.FunctionDef) -> dict[str, list[ast.expr]]:
    found: dict[str, list[ast.expr]] = {}
    for node in ast.walk(function):
        if isinstance(node, ast.Assign):
            for name, value in _assigned([node]):
                found.setdefault(name, []).append(value)
    return found


def _assigned(body: list[ast.stmt]) -> Iterator[tuple[str, ast.expr]]:
    for node in body:
        match node:
            case ast.Assign(targets=[ast.Name(id=name)], value=value):
                yield name, value
            case ast.Assign(targets=[ast.Tuple(elts=names)], value=ast.Tuple(elts=values)):
                pairs = zip(names, values, strict=True)
                yield from ((each.id, own) for each, own in pairs if isinstance(each, ast.Name))
            case ast.AnnAssign(target=ast.Name(id=name), value=ast.expr() as value):
                yield name, value
            case _:
                pass
