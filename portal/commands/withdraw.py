"""`portal withdraw` on the command line."""

from pathlib import Path
from typing import Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, EvidenceOption, PartOption, show, told, warn


def withdraw(
    part: PartOption,
    why: Annotated[str, typer.Option(metavar="TEXT", help="Why; it stays in the log")],
    catalog: CatalogArgument = Path(),
    review: Annotated[str | None, typer.Option(metavar="CODE", help="A sent review, by its check code")] = None,
    finding: Annotated[str | None, typer.Option(metavar="ID", help="A finding")] = None,
    event: Annotated[
        str | None, typer.Option(metavar="HASH", help="An event entered wrongly, or an answer that isn't theirs")
    ] = None,
    instead: Annotated[
        str | None, typer.Option(metavar="HASH", help="With --event: the event that says it rightly")
    ] = None,
    said_by: Annotated[
        str | None, typer.Option(metavar="NAME", help="Who of the customer said that an answer isn't theirs")
    ] = None,
    how: Annotated[str | None, typer.Option(help="telephone, meeting, mail, signed document")] = None,
    when: Annotated[str | None, typer.Option(metavar="DATE", help="When they said so, as 2026-03-05")] = None,
    evidence: EvidenceOption = None,
    by: ByOption = None,
) -> None:
    """Take back a review, a finding, or an event; of an answer that came in, only as the customer says; all stays."""
    from portal.tasks import withdraw as task
    from portal.tasks.note import Subject
    from portal.tasks.opened import open_part
    from portal.tasks.record import Came

    opened = open_part(catalog, part, by=by, to="withdraw something")
    warn(opened.problems)
    came = Came(said_by, how, when, tuple(evidence or ()))
    subject = Subject(finding=finding, review=review, event=event)
    show([told(task.withdraw(opened, subject, why=why, instead=instead, came=came))])
