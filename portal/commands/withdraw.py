"""`portal withdraw` on the command line."""

from pathlib import Path
from typing import Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, PartOption, show, told, warn


def withdraw(
    part: PartOption,
    why: Annotated[str, typer.Option(metavar="TEXT", help="Why; it stays in the log")],
    catalog: CatalogArgument = Path(),
    review: Annotated[str | None, typer.Option(metavar="CODE", help="A sent review, by its check code")] = None,
    finding: Annotated[str | None, typer.Option(metavar="ID", help="A finding")] = None,
    event: Annotated[str | None, typer.Option(metavar="HASH", help="An event that was entered wrongly")] = None,
    instead: Annotated[
        str | None, typer.Option(metavar="HASH", help="With --event: the event that says it rightly")
    ] = None,
    by: ByOption = None,
) -> None:
    """Take back a review, a finding, or something that was entered wrongly; nothing disappears."""
    from portal.tasks import withdraw as task
    from portal.tasks.note import Subject
    from portal.tasks.opened import open_part

    opened = open_part(catalog, part, by=by, to="withdraw something")
    warn(opened.problems)
    subject = Subject(finding=finding, review=review, event=event)
    show([told(task.withdraw(opened, subject, why=why, instead=instead))])
