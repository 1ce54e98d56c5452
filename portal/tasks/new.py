"""`portal new`: a starter catalogue that a shop fills in."""

import shutil
from pathlib import Path

from portal import resources
from portal.problem import PortalError


def new(folder: Path) -> tuple[str, ...]:
    """Write a starter catalogue into a new or empty folder; the files written, in order."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise PortalError(f"{folder} is there already and not empty", hint="name a new folder")
    shutil.copytree(resources.templates() / "starter", folder, dirs_exist_ok=True)
    return tuple(sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()))
