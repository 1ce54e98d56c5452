"""`portal note` on the command line."""

from pathlib import Path
from typing import Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, EvidenceOption, PartOption, show, told, warn


def note(
    part: PartOption,
    comment: Annotated[str, typer.Option(metavar="TEXT", help="What is said")],
    catalog: CatalogArgument = Path(),
    finding: Annotated[str | None, typer.Option(metavar="ID", help="About a finding")] = None,
    picture: Annotated[str | None, typer.Option(metavar="FILE", help="About a picture")] = None,
    spot: Annotated[str | None, typer.Option(metavar="X,Y", help="At a spot of it, in pixels")] = None,
    trial: Annotated[str | None, typer.Option(metavar="MOULD/T", help="About a trial")] = None,
    review: Annotated[str | None, typer.Option(metavar="CODE", help="About a review, by its check code")] = None,
    event: Annotated[str | None, typer.Option(metavar="HASH", help="About an event of the log")] = None,
    shared: Annotated[bool, typer.Option("--shared/--shop", help="Whether the customer sees it")] = False,
    answers: Annotated[
        str | None,
        typer.Option(metavar="HASH[:NAME]", help="An engineer's reply to an ask, or to what came as an answer"),
    ] = None,
    number: Annotated[int | None, typer.Option(min=1, help="Of the ask that the reply is about")] = None,
    whole: Annotated[bool, typer.Option("--all", help="The reply is to all that waits for words there")] = False,
    evidence: EvidenceOption = None,
    by: ByOption = None,
) -> None:
    """Note something, which decides nothing; or reply to a question back or to a wish for evidence."""
    from portal.problem import PortalError
    from portal.tasks import note as task
    from portal.tasks.opened import open_part

    subject = task.Subject(finding, trial, review, event, picture, spot)
    opened = open_part(catalog, part, by=by, to="reply" if answers else "note", engineer=answers is not None)
    warn(opened.problems)
    if not answers:
        if evidence or number or whole:
            raise PortalError("`--evidence`, `--number` and `--all` go with `--answers`", code=2)
        show([told(task.note(opened, comment, subject, shared=shared))])
        return
    if subject != task.Subject():
        raise PortalError("a reply is about what it answers", hint="name only `--answers`", code=2)
    show([told(task.reply(opened, comment, to=task.To(answers, number, whole), files=tuple(evidence or ())))])
