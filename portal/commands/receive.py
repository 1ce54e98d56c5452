"""`portal receive` on the command line."""

from pathlib import Path
from typing import Annotated

import typer

from portal.commands.words import ByOption, show, warn

FilesArgument = Annotated[
    list[Path],
    typer.Argument(
        metavar="[CATALOG] FILE",
        help="The catalogue's folder, unless you stand in it; then answer files, saved mails, texts, folders of them",
    ),
]


def receive(
    files: FilesArgument,
    part: Annotated[str | None, typer.Option("--part", metavar="P", help="The review is one of this part")] = None,
    accept_as: Annotated[
        str | None,
        typer.Option("--accept-as", metavar="REVIEWER", help="Take it for this reviewer's, whoever it says it is from"),
    ] = None,
    by: ByOption = None,
) -> None:
    """Take in what a customer sent back: each answer that literally stands there; the rest is kept for a person."""
    from portal.problem import PortalError
    from portal.tasks import receive as task
    from portal.tasks.picking import open_desk

    catalog, answers = Path(), tuple(files)
    if (files[0] / "catalog.yaml").is_file():
        catalog, answers = files[0], tuple(files[1:])
    paths = task.files_in(answers)
    if not paths:
        raise PortalError("no file to take in is named", code=2)
    desk = open_desk(catalog, by=by, part=part, accept_as=accept_as)
    outcomes = []
    for path in paths:
        outcome = task.receive(desk, path)
        outcomes.append(outcome)
        first, *more = outcome.lines
        show([f"{outcome.name}: {first}", *(f"    {line}" for line in more)])
    warn(dict.fromkeys(desk.problems))
    raise typer.Exit(0 if all(each.is_taken for each in outcomes) else 3)
