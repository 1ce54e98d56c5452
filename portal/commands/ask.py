"""`portal ask` on the command line."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, PartOption, show, told, warn

if TYPE_CHECKING:
    from portal.tasks.ask import Confirm


def ask(
    part: PartOption,
    catalog: CatalogArgument = Path(),
    question: Annotated[str | None, typer.Option(metavar="TEXT", help="One thing, as the customer reads it")] = None,
    finding: Annotated[list[str] | None, typer.Option(metavar="ID", help="About a finding; may be repeated")] = None,
    picture: Annotated[str | None, typer.Option(metavar="FILE", help="About a picture")] = None,
    spot: Annotated[str | None, typer.Option(metavar="X,Y", help="At a spot of it, in pixels")] = None,
    trial: Annotated[str | None, typer.Option(metavar="MOULD/T", help="About a trial")] = None,
    proposed: Annotated[
        bool, typer.Option("--proposed", help="All that the verdicts of the trial propose and that isn't asked yet")
    ] = False,
    owed_by: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Who must answer; may be repeated", show_default="all of their reviewers"),
    ] = None,
    due: Annotated[str | None, typer.Option(metavar="DATE", help="Until when, as 2026-03-10")] = None,
    kind: Annotated[
        str | None,
        typer.Option(
            help="does-not-conform, undecided, not-agreed, question", show_default="what follows from the verdict"
        ),
    ] = None,
    names: Annotated[
        int | None,
        typer.Option(min=1, max=2, help="How many must answer", show_default="what the customer asks for"),
    ] = None,
    follows: Annotated[str | None, typer.Option(metavar="ASK", help="Takes up an earlier ask again")] = None,
    as_it_is: Annotated[bool, typer.Option("--as-it-is", help="Though it may seem to ask two things")] = False,
    by: ByOption = None,
) -> None:
    """Ask the customer one thing about findings, a picture, a spot or a trial; it is sent with the next review."""
    from portal.tasks import ask as task
    from portal.tasks.opened import open_part

    wanted = task.Wanted(
        question=question,
        findings=tuple(finding or ()),
        picture=picture,
        spot=spot,
        trial=trial,
        owed_by=tuple(owed_by or ()),
        due=due,
        kind=kind,
        names=names,
        follows=follows,
    )
    opened = open_part(catalog, part, by=by, to="ask")
    warn(opened.problems)
    if not proposed:
        show([told(task.ask(opened, wanted, confirm=_confirm(as_it_is)))])
        return
    from portal.tasks.propose import ask_proposed

    came = ask_proposed(opened, wanted)
    show(told(each) for each in came.asked)
    show(f"not asked again: {finding} ({why})" for finding, why in came.left_out.items())
    if not came.asked:
        print("nothing was left to ask")


def _confirm(as_it_is: bool) -> "Confirm | None":
    if as_it_is:
        return lambda doubt: True
    if not sys.stdin.isatty():
        return None
    return lambda doubt: typer.confirm(f"{doubt}; ask it as it is?", err=True)
