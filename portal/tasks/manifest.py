"""What the last build was made from and what it wrote: a file in the site's folder.

It marks the folder as ours and for one audience. Imports nothing heavy.
"""

import hashlib
import json
import os
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from portal.tasks.inputs import Stamp

NAME = ".portal-site.json"
JOURNAL = ".portal-writing"
TEMPORARY = ".portal-half-"
TOO_FRESH_NS = 2_000_000_000
"""A file changed this shortly before a build began may change again within one tick of the disk's clock."""


@dataclass
class Manifest:
    """The state of a site's folder after a build."""

    audience: str
    options: dict[str, str]
    started_ns: int
    inputs: dict[str, Stamp] = field(default_factory=dict)
    rest: str = ""
    """A digest of all further inputs, whose names this audience must not see."""
    outputs: list[str] = field(default_factory=list)
    facts: dict[str, dict[str, Any]] = field(default_factory=dict)
    derived: dict[str, dict[str, Any]] = field(default_factory=dict)
    exit_code: int = 0
    said: str = ""
    """What the build said at its end, to be said again where nothing changed."""

    def trusts(self, file: str, stamp: Stamp) -> bool:
        """Whether that file is surely as the last build saw it."""
        known = self.inputs.get(file)
        return known is not None and tuple(known) == stamp and stamp[1] < self.started_ns - TOO_FRESH_NS


def load(out: Path) -> Manifest | None:
    """The manifest of a site's folder; None where there is none or it can't be read."""
    try:
        data = json.loads((out / NAME).read_text(encoding="utf-8"))
        data["inputs"] = {file: (int(stamp[0]), int(stamp[1])) for file, stamp in data["inputs"].items()}
        return Manifest(**data)
    except (OSError, ValueError, TypeError, KeyError):
        return None


def save(out: Path, manifest: Manifest) -> None:
    """Write the manifest whole or not at all."""
    replace_file(out, NAME, json.dumps(vars(manifest), separators=(",", ":"), sort_keys=True).encode())


def is_unfinished(out: Path) -> bool:
    """Whether the last build of a site's folder didn't come to its end."""
    return (out / JOURNAL).exists()


def nothing_changed(known: Manifest, options: dict[str, str], inputs: dict[str, Stamp]) -> bool:
    """Whether the last build was made from the very same files with the very same options."""
    rest = {file: stamp for file, stamp in inputs.items() if file not in known.inputs}
    return (
        known.options == options
        and known.inputs.keys() <= inputs.keys()
        and all(known.trusts(file, inputs[file]) for file in known.inputs)
        and known.rest == digest_of(rest)
        and all(stamp[1] < known.started_ns - TOO_FRESH_NS for stamp in rest.values())
    )


def only(manifest: Manifest, files: Collection[str]) -> Manifest:
    """A manifest that names no other input than those files; what it said, which may name others, is left out."""
    rest = {file: stamp for file, stamp in manifest.inputs.items() if file not in files}
    return replace(
        manifest,
        inputs={file: stamp for file, stamp in manifest.inputs.items() if file in files},
        rest=digest_of(rest),
        facts={file: facts for file, facts in manifest.facts.items() if file in files},
        said="",
    )


def digest_of(inputs: Mapping[str, Stamp]) -> str:
    """A digest of files and their stamps; empty where there are none."""
    listed = sorted((file, *stamp) for file, stamp in inputs.items())
    return hashlib.sha256(json.dumps(listed).encode()).hexdigest() if listed else ""


def replace_file(out: Path, path: str, body: bytes, *, durable: bool = True) -> None:
    """Write a file of the site whole or not at all, through a temporary file at the site's top."""
    temporary = out / f"{TEMPORARY}{os.getpid()}-1"
    with temporary.open("wb") as file:
        file.write(body)
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
