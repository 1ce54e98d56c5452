"""`portal demo`: the sample catalogue, copied, built and served."""

import shutil
from datetime import date
from pathlib import Path

from portal import resources
from portal.problem import PortalError
from portal.tasks.build import Built, build
from portal.tasks.inputs import CATALOGUE_FOLDERS

MARK = ".portal-demo"


def prepare_demo(folder: Path) -> bool:
    """Copy the sample there unless it is there already; whether it was copied now."""
    if (folder / MARK).is_file():
        return False
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise PortalError(f"{folder} is there already and is no demo", hint="name a new folder: `portal demo DIR`")
    half = folder.absolute().with_name(f".{folder.absolute().name}.portal-half")
    shutil.rmtree(half, ignore_errors=True)
    half.mkdir(parents=True)
    source = resources.sample()
    for name in CATALOGUE_FOLDERS:
        shutil.copytree(source / name, half / name, copy_function=shutil.copyfile)
    shutil.copyfile(source / "catalog.yaml", half / "catalog.yaml")
    (half / MARK).write_text("A copy of the sample catalogue; `portal demo` builds it again.\n", encoding="utf-8")
    if folder.is_dir():
        folder.rmdir()
    half.rename(folder)
    return True


def build_demo(folder: Path, *, as_of: date, processes: int) -> Built:
    """Build the demo's site."""
    prepare_demo(folder)
    return build(folder, out=None, as_of=as_of, processes=processes)
