"""`portal pack` on the command line."""

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, PartOption, show, told, warn

if TYPE_CHECKING:
    from portal.tasks.pack import Confirm


def pack(
    part: PartOption,
    trial: Annotated[str, typer.Option("--trial", metavar="[MOULD/]T", help="The trial")],
    catalog: CatalogArgument = Path(),
    to: Annotated[
        list[str] | None,
        typer.Option(metavar="REVIEWER", help="Who gets it; may be repeated", show_default="all of their reviewers"),
    ] = None,
    small: Annotated[bool, typer.Option("--small", help="Also an HTML file for a mailbox that takes little")] = False,
    by: ByOption = None,
) -> None:
    """Freeze a review, record it as sent, and write the files that go out: mail, PDF, one HTML file, zip."""
    from portal.tasks import pack as task
    from portal.tasks.opened import open_part

    opened = open_part(catalog, part, by=by, to="send a review")
    warn(opened.problems)
    processes = max(1, min(os.cpu_count() or 1, 8))
    packed = task.pack(opened, trial, to=to or (), confirm=_confirm(), processes=processes, small=small)
    for warning in packed.warnings:
        print(f"warning: {warning}", file=sys.stderr)
    if packed.is_new:
        show([told(packed.logged)])
    else:
        print(f"review {packed.number} ({packed.code}) was sent already and nothing it shows has changed")
    show(f"{path}  {_size(path.stat().st_size)}" for path in packed.carriers)
    print("next: send these files; what comes back goes into `portal receive`")


def _size(count: int) -> str:
    return f"{count / 1e6:.1f} MB" if count >= 100_000 else f"{max(1, round(count / 1e3))} kB"


def _confirm() -> "Confirm | None":
    if not sys.stdin.isatty():
        return None
    return lambda question: typer.confirm(question, err=True)
