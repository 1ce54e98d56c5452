"""What several commands take on the command line."""

import sys
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from portal.model.event import Logged
    from portal.problem import Problem
    from portal.tasks.record import Recorded

CatalogArgument = Annotated[
    Path, typer.Argument(metavar="[CATALOG]", help="The catalogue's folder", show_default="the one you stand in")
]
PartOption = Annotated[str, typer.Option("--part", metavar="P", help="The part")]
ByOption = Annotated[
    str | None,
    typer.Option("--by", metavar="NAME", envvar="PORTAL_BY", help="Who does it: one of `people` in catalog.yaml"),
]
EvidenceOption = Annotated[
    list[Path] | None,
    typer.Option("--evidence", metavar="FILE", help="A file that came, copied into the catalogue; may be repeated"),
]


def show(lines: Iterable[str]) -> None:
    """Print what people wrote so that it can't steer a terminal."""
    from portal.problem import printable

    for line in lines:
        print(printable(line))


def warn(problems: Iterable["Problem"]) -> None:
    """Print problems where they don't get into a list."""
    for problem in problems:
        print(f"{'warning: ' if problem.warning else ''}{problem}", file=sys.stderr)


def told(logged: "Logged") -> str:
    """What was written, with the first digits of its hash before it."""
    from portal.model.event import check_code
    from portal.tasks.telling import tell

    return f"{check_code(logged.hash)}  {logged.event.by.name} {tell(logged)}"


def report(recorded: "Recorded") -> None:
    """What was written; what one has to know of it goes beside."""
    show([told(recorded.logged)])
    for doubt in recorded.doubts:
        print(f"note: {doubt}", file=sys.stderr)
