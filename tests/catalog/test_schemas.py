"""The schemas that editors get take every file of the sample and the starter, and find what is misspelt."""

import json
import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match
from yaml import MappingNode, Node, SafeLoader, ScalarNode, SequenceNode, compose

import portal.catalog
from portal.catalog.schemas import FOLDER, KINDS, schema
from portal.model.base import from_path
from portal.resources import sample, templates
from portal.tasks.new import new
from tests.catalog.good import good

STARTER = templates() / "starter"
PLACES = {
    r"catalog\.yaml": "catalog",
    r"customers/[^/]+\.yaml": "customer",
    r"defects/[^/]+\.md": "defect",
    r"limit-samples/[^/]+/sample\.yaml": "limit-sample",
    r"moulds/[^/]+/mould\.yaml": "mould",
    r"moulds/[^/]+/trials/[^/]+/looked/[^/]+\.yaml": "looked",
    r"moulds/[^/]+/trials/[^/]+/tags/[^/]+\.yaml": "tag",
    r"moulds/[^/]+/trials/[^/]+/trial\.yaml": "trial",
    r"parts/[^/]+/part\.yaml": "part",
    r"scopes/[^/]+\.yaml": "scope",
    r"standards/[^/]+/[^/]+\.yaml": "standard",
}


def kind_of(path: str) -> str | None:
    """The kind of a file by its place."""
    return next((kind for place, kind in PLACES.items() if re.fullmatch(place, path)), None)


@cache
def validator(kind: str) -> Draft202012Validator:
    """Checks files of that kind."""
    plain = schema(kind)
    Draft202012Validator.check_schema(plain)
    return Draft202012Validator(plain)


CORE: dict[str, Callable[[str], Any]] = {
    "null|Null|NULL|~|": lambda _: None,
    "true|True|TRUE|false|False|FALSE": lambda text: text.lower() == "true",
    r"[-+]?[0-9]+": int,
    r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?": float,
}
"""What YAML 1.2 (core schema, section 10.3.2) takes a plain scalar for; anything else is text, dates too."""


def as_an_editor_reads(node: Node | None) -> Any:
    """Plain values, as YAML 1.2 resolves them."""
    if isinstance(node, MappingNode):
        return {key.value: as_an_editor_reads(value) for key, value in node.value}
    if isinstance(node, SequenceNode):
        return [as_an_editor_reads(each) for each in node.value]
    assert isinstance(node, ScalarNode)
    plain = node.style is None
    made = next((make for pattern, make in CORE.items() if plain and re.fullmatch(pattern, node.value)), str)
    return made(node.value)


def wrong(kind: str, text: str) -> list[str]:
    """What a schema finds in a file, by field."""
    front = text.split("---")[1] if kind == "defect" else text
    return [error.json_path for error in validator(kind).iter_errors(as_an_editor_reads(compose(front, SafeLoader)))]


def files() -> Iterator[tuple[str, str]]:
    """Every written file of the sample, of the starter and of the small good catalogue, with its kind."""
    for root in (sample(), STARTER):
        for path in sorted((*root.rglob("*.yaml"), *root.glob("defects/*.md"))):
            place = path.relative_to(root).as_posix()
            if not place.startswith("render/"):
                yield place, path.read_text(encoding="utf-8")
    for place, content in good().items():
        if isinstance(content, str) and not place.startswith("notes/"):
            yield place, content


def test_every_file_fits_its_schema() -> None:
    """And every kind occurs, so that no schema goes untried."""
    tried = set()
    for place, text in files():
        kind = kind_of(place)
        assert kind is not None, f"{place} is of no kind"
        assert wrong(kind, text) == [], place
        tried.add(kind)
    assert tried == set(KINDS)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_a_misspelt_key_does_not_fit_and_an_own_one_does(kind: str) -> None:
    """Keys are closed, but those that begin with `x-`."""
    text = next(text for place, text in files() if kind_of(place) == kind)
    assert wrong(kind, text.replace("format: 1", "format: 1\nx-own: [1, {a: b}]", 1)) == []
    assert wrong(kind, text.replace("format: 1", "format: 1\nfromat: 1", 1)) == ["$"]


@pytest.mark.parametrize(
    ("kind", "place", "old", "new", "where"),
    [
        ("standard", "standards/small-clear/3.yaml", "max: 0.150 mm", "max: 0.150", "$.criteria[0].limits[0].max"),
        ("standard", "standards/small-clear/3.yaml", "severity: minor", "severity: small", "$.criteria[0].severity"),
        ("standard", "standards/small-clear/3.yaml", "effective: 2026-01-12", "effective: 12.1.2026", "$.effective"),
        ("standard", "standards/small-clear/3.yaml", "magnification: 20", "magnification: 20x", "$.conditions"),
        ("tag", "moulds/M-118/trials/T2/tags/cam-1.png.yaml", "stored: 4x3", "stored: 4 by 3", "$.picture.stored"),
        ("tag", "moulds/M-118/trials/T2/tags/cam-1.png.yaml", "id: 7K3F", "id: 7KOF", "$.findings[0].id"),
        ("tag", "moulds/M-118/trials/T2/tags/cam-1.png.yaml", 'point: "2,1"', 'piont: "2,1"', "$.findings[0].shapes"),
        ("scope", "scopes/stereo-1.yaml", "angle: 6 deg", "angle: 6", "$.tilt"),
        ("part", "parts/LC-0440/part.yaml", "class: B,", "classe: B,", "$.zones.B"),
        ("customer", "customers/brindelaar.yaml", "unit: mm", "unit: cm", "$.unit"),
    ],
)
def test_what_a_field_cannot_be_does_not_fit(kind: str, place: str, old: str, new: str, where: str) -> None:
    """At its field."""
    text = good()[place]
    assert isinstance(text, str) and old in text
    read = as_an_editor_reads(compose(text.replace(old, new, 1), SafeLoader))
    found = best_match(validator(kind).iter_errors(read))
    assert found is not None and found.json_path.startswith(where)


def test_text_that_yaml_takes_for_something_else_fits() -> None:
    """Part numbers, revisions and finding ids of digits only; an empty value is an absent key."""
    part = good()["parts/LC-0440/part.yaml"]
    tag = good()["moulds/M-118/trials/T2/tags/cam-1.png.yaml"]
    assert isinstance(part, str) and isinstance(tag, str)
    assert wrong("part", part.replace("shop: LC-0440", "shop: 0440").replace("revision: C", "revision: true")) == []
    assert wrong("part", part.replace("name: Lens collar", "name: Lens collar\nreference:")) == []
    assert wrong("tag", tag.replace("id: 7K3F", "id: 1234")) == []


def test_no_kind_of_file_is_without_a_schema() -> None:
    """Every record that reading makes has one."""
    code = "\n".join(each.read_text("utf-8") for each in Path(portal.catalog.__file__).parent.rglob("*.py"))
    read = set(re.findall(r"(?:read_(?:record|page)\(\s*\w+,|\bsingle\()\s*([A-Z]\w+)", code))
    assert read == {record.__name__ for record in KINDS.values()}


def test_what_a_path_gives_is_no_key_of_a_schema() -> None:
    """Ids and files come from where a file lies."""
    for kind, record in KINDS.items():
        keys = set(schema(kind)["properties"])
        assert keys == set(record.keys()) and not keys & from_path(record)


def test_a_new_catalogue_has_its_schemas_and_its_files_name_them(tmp_path: Path) -> None:
    """By a first line that editors understand; the path leads to the kind's own schema."""
    folder = tmp_path / "catalogue"
    new(folder)
    assert {path.stem for path in (folder / FOLDER).iterdir()} == set(KINDS)
    named = 0
    for path in folder.rglob("*.yaml"):
        found = re.match(r"# yaml-language-server: \$schema=(\S+)\n", path.read_text(encoding="utf-8"))
        assert found, path
        target = (path.parent / found[1]).resolve()
        kind = kind_of(path.relative_to(folder).as_posix())
        assert target == folder.resolve() / FOLDER / f"{kind}.json"
        assert kind and json.loads(target.read_text(encoding="utf-8")) == schema(kind)
        named += 1
    assert named == 7


def keys_of(plain: Any) -> Iterator[str]:
    """Every key that a schema knows, however deep."""
    if isinstance(plain, dict):
        properties = plain.get("properties", {})
        yield from properties if isinstance(properties, dict) else ()
        for each in plain.values():
            yield from keys_of(each)
    elif isinstance(plain, list):
        for each in plain:
            yield from keys_of(each)


@pytest.mark.parametrize("kind", KINDS)
def test_the_manual_names_every_key_of_every_file(kind: str) -> None:
    """Who writes a file by hand has nothing else to go by."""
    manual = (templates() / "manual" / "files.md").read_text(encoding="utf-8")
    keys = set(keys_of(schema(kind)))
    assert len(keys) > 5
    assert [key for key in sorted(keys) if not re.search(rf"\b{re.escape(key)}\??:", manual)] == []
