"""What the last build was made from and what it wrote: a file in the site's folder, of a JSON line for each thing.

It marks the folder as ours and for one audience. Of what it says of pictures, which is most of it, only the places are
held. Imports nothing heavy.
"""

import hashlib
import json
import os
import re
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import partial
from itertools import groupby
from pathlib import Path
from sys import intern
from typing import Any

from portal.model.terms import SHOP
from portal.tasks.inputs import Stamp
from portal.tasks.lines import Noted, as_json, line, name_of

NAME = ".portal-site.json"
JOURNAL = ".portal-writing"
TEMPORARY = ".portal-half-"
TOO_FRESH_NS = 2_000_000_000
"""A file changed this shortly before a build began may change again within one tick of the disk's clock."""
_INPUT, _OUTPUT, _FACTS, _DERIVED = b"input", b"output", b"facts", b"derived"
_DIGITS = 32
_PICTURES = ("moulds/", "limit-samples/")
_SOURCE = re.compile("[0-9a-f]{64}")
"""Of what a derived file was made: what was made of the same stands in one line."""

Data = dict[str, Any]
Pairs = Iterable[tuple[str, Data]]


@dataclass
class Manifest:
    """The state of a site's folder after a build."""

    audience: str
    options: dict[str, str]
    started_ns: int
    inputs: dict[str, Stamp] = field(default_factory=dict)
    rest: str = ""
    """A digest of all inputs, where this audience isn't told what they are."""
    outputs: list[str] = field(default_factory=list)
    facts: Mapping[str, Data] = field(default_factory=dict)
    derived: Mapping[str, Data] = field(default_factory=dict)
    exit_code: int = 0
    said: str = ""
    """What the build said at its end, to be said again where nothing changed."""

    def trusts(self, file: str, stamp: Stamp) -> bool:
        """Whether that file is surely as the last build saw it."""
        return self.knows(file, stamp) and stamp[1] < self.started_ns - TOO_FRESH_NS

    def knows(self, file: str, stamp: Stamp) -> bool:
        """Whether the last build saw that file with that stamp."""
        known = self.inputs.get(self.named(file, stamp))
        return known is not None and (self.is_sealed or tuple(known) == stamp)

    def noted(self, file: str, stamp: Stamp) -> "Data | None":
        """What is noted of a picture's file, where that is surely as the last build saw it."""
        return self.facts.get(self.named(file, stamp)) if self.trusts(file, stamp) else None

    def named(self, file: str, stamp: Stamp) -> str:
        """How a file is called here: by its path, or by a digest from which neither that nor size and time are told."""
        return hashlib.sha256(as_json([file, *stamp])).hexdigest()[:_DIGITS] if self.is_sealed else file

    @property
    def is_sealed(self) -> bool:
        """Whether the site goes out of the house, so that nothing here may tell of the catalogue."""
        return self.audience != SHOP


class OfPictures(Mapping[str, Data]):
    """What a manifest's lines of one kind say, by key; a line is read when one of its keys is asked for."""

    def __init__(self, noted: Noted, line_of: Callable[[str], str]) -> None:
        self.noted, self._line_of = noted, line_of
        self._last: tuple[str, Data] = ("", {})

    def __getitem__(self, key: str) -> Data:
        name = self._line_of(key)
        if self._last[0] != name:
            self._last = (name, self._merged(name))
        known: Data = self._last[1][key]
        return known

    def _merged(self, name: str) -> Data:
        found: Data = {}
        for data in self.noted.of(name):
            found |= data
        return found

    def __iter__(self) -> Iterator[str]:
        told = set[str]()
        for name, data in self.noted.all():
            if self.noted.lines(name) == 1:
                yield from data
            elif name not in told:
                told.add(name)
                yield from self._merged(name)

    def __len__(self) -> int:
        return sum(1 for _ in self)


def load(out: Path) -> Manifest | None:
    """The manifest of a site's folder; None where there is none or it can't be read."""
    try:
        with (out / NAME).open("rb") as file:
            head = json.loads(file.readline())
            facts, derived = Noted(out / NAME, _FACTS), Noted(out / NAME, _DERIVED)
            of_pictures = {"facts": OfPictures(facts, str), "derived": OfPictures(derived, _source)}
            known = Manifest(**{**of_pictures, **head})
            known.inputs = {name: (int(stamp[0]), int(stamp[1])) for name, stamp in known.inputs.items()}
            at = file.tell()
            for whole in file:
                kind, _, said = whole.partition(b"\t")
                name = name_of(said)
                if kind in (_INPUT, _OUTPUT):
                    name = intern(name)
                if kind == _INPUT:
                    size, time = said.split(b"\t")[1:]
                    known.inputs[name] = (int(size), int(time))
                elif kind == _OUTPUT:
                    known.outputs.append(name)
                else:
                    {_FACTS: facts, _DERIVED: derived}[kind].add(name, at, len(whole))
                at += len(whole)
            return known
    except (OSError, ValueError, TypeError, KeyError, AttributeError):
        return None


def save(out: Path, manifest: Manifest, *, facts: Pairs, derived: Pairs) -> None:
    """Write the manifest whole or not at all, a line at a time, with what is known of pictures and derived files."""
    replace_file(out, NAME, _lines(manifest, facts, derived))


def _lines(manifest: Manifest, facts: Pairs, derived: Pairs) -> Iterator[bytes]:
    lists = {"inputs", "outputs", "facts", "derived"}
    yield as_json({name: value for name, value in vars(manifest).items() if name not in lists}) + b"\n"
    for file, (size, time) in sorted(manifest.inputs.items()):
        yield b"%s\t%s\t%d\t%d\n" % (_INPUT, as_json(file), size, time)
    for path in manifest.outputs:
        yield b"%s\t%s\n" % (_OUTPUT, as_json(path))
    for kind, noted, line_of in ((_FACTS, facts, str), (_DERIVED, derived, _source)):
        for name, many in groupby(noted, key=partial(_line_of, line_of)):
            yield line(kind, name, dict(many))


def _line_of(named: Callable[[str], str], pair: tuple[str, Data]) -> str:
    return named(pair[0])


def _source(key: str) -> str:
    found = _SOURCE.search(key)
    return found[0] if found else key


def is_unfinished(out: Path) -> bool:
    """Whether the last build of a site's folder didn't come to its end."""
    return (out / JOURNAL).exists()


def nothing_changed(known: Manifest, options: dict[str, str], inputs: dict[str, Stamp]) -> bool:
    """Whether the last build was made from the very same files with the very same options."""
    if known.options != options:
        return False
    if known.is_sealed:
        rest = inputs
    elif known.inputs.keys() <= inputs.keys() and all(known.trusts(file, inputs[file]) for file in known.inputs):
        rest = {file: stamp for file, stamp in inputs.items() if file not in known.inputs}
    else:
        return False
    return known.rest == digest_of(rest) and all(stamp[1] < known.started_ns - TOO_FRESH_NS for stamp in rest.values())


def only(manifest: Manifest, files: Collection[str]) -> Manifest:
    """A manifest that goes out: it knows those files by digests; what was said, which may name others, is left out."""
    return replace(
        manifest,
        inputs={manifest.named(*each): (0, 0) for each in manifest.inputs.items() if each[0] in files},
        rest=digest_of(manifest.inputs),
        said="",
    )


def any_picture_changed(known: Manifest, inputs: Mapping[str, Stamp]) -> bool:
    """Whether a picture or what was drawn on it may be another one than the last build saw."""
    return any(file.startswith(_PICTURES) and not known.knows(file, stamp) for file, stamp in inputs.items())


def digest_of(inputs: Mapping[str, Stamp]) -> str:
    """A digest of files and their stamps; empty where there are none."""
    listed = sorted((file, *stamp) for file, stamp in inputs.items())
    return hashlib.sha256(json.dumps(listed).encode()).hexdigest() if listed else ""


def replace_file(out: Path, path: str, body: Iterable[bytes], *, durable: bool = True) -> None:
    """Write a file of the site, piece by piece, whole or not at all, through a temporary file at the site's top."""
    temporary = out / f"{TEMPORARY}{os.getpid()}-1"
    with temporary.open("wb") as file:
        file.writelines(body)
        if durable:
            file.flush()
            os.fsync(file.fileno())
    temporary.replace(out / path)


def journal(out: Path) -> set[str]:
    """Paths that a build which didn't end had begun to write."""
    try:
        return set((out / JOURNAL).read_text(encoding="utf-8").splitlines())
    except OSError:
        return set()
