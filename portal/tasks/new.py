"""`portal new`: a starter catalogue that a shop fills in."""

import json
import shutil
from pathlib import Path

from portal import resources
from portal.catalog.schemas import FOLDER, KINDS, schema
from portal.problem import PortalError


def new(folder: Path) -> tuple[str, ...]:
    """Write a starter catalogue into a new or empty folder; the files written, in order."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise PortalError(f"{folder} is there already and not empty", hint="name a new folder")
    shutil.copytree(resources.templates() / "starter", folder, copy_function=shutil.copyfile, dirs_exist_ok=True)
    write_schemas(folder / FOLDER)
    return tuple(sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()))


def write_schemas(folder: Path) -> None:
    """A schema of each kind of file, for editors; the program itself doesn't read them."""
    folder.mkdir(parents=True, exist_ok=True)
    for kind in KINDS:
        text = json.dumps(schema(kind), ensure_ascii=False, indent=1)
        (folder / f"{kind}.json").write_text(f"{text}\n", encoding="utf-8")
