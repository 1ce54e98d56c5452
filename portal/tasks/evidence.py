"""Files that came with a decision, copied into the catalogue so that the log can rest on them."""

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path

from portal.log.files import create, make_folder
from portal.model.says import KeptFile
from portal.model.slug import slug
from portal.problem import PortalError

_ENDING = re.compile(r"\.[A-Za-z0-9]{1,8}")


def look_at(files: Iterable[Path]) -> dict[Path, bytes]:
    """The content of each file; refused where one can't be read or holds nothing."""
    found = {}
    for file in files:
        if not file.is_file():
            raise PortalError(f"there is no file {file}", hint="`--evidence` takes a file that is kept", code=2)
        found[file] = file.read_bytes()
        if not found[file]:
            raise PortalError(f"{file} is empty: it would be evidence of nothing", hint="name the file that came")
    return found


def keep(root: Path, part: str, files: dict[Path, bytes]) -> tuple[KeptFile, ...]:
    """Copy files beside the part's reviews, each under its hash and its name; the same file twice is one."""
    return tuple(_keep(root, part, file.name, content) for file, content in files.items())


def _keep(root: Path, part: str, name: str, content: bytes) -> KeptFile:
    digest = hashlib.sha256(content).hexdigest()
    stem, dot, ending = name.rpartition(".")
    plain = f"{slug(stem)}.{ending.lower()}" if stem and _ENDING.fullmatch(dot + ending) else slug(name)
    file = f"parts/{part}/evidence/{digest[:16]}-{plain}"
    make_folder((root / file).parent)
    if not create(root / file, content) and (root / file).read_bytes() != content:
        raise PortalError(f"{file} is there and isn't what it was", hint="put that file back from a copy")
    return KeptFile(file=file, sha256=digest, name=name)
