"""`portal release` on the command line."""

from pathlib import Path
from typing import Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, EvidenceOption, PartOption, report, warn


def release(
    part: PartOption,
    trial: Annotated[str, typer.Option(metavar="MOULD/T", help="The trial")],
    released_for: Annotated[str, typer.Option("--for", help="next trial, samples, production")],
    catalog: CatalogArgument = Path(),
    granted_by: Annotated[
        str | None,
        typer.Option(
            metavar="NAME",
            help="Who grants it: a reviewer who may `release`",
            show_default="for the next trial, who enters it",
        ),
    ] = None,
    how: Annotated[str | None, typer.Option(help="telephone, meeting, mail, signed document")] = None,
    when: Annotated[str | None, typer.Option(metavar="DATE", help="As 2026-03-05 or 2026-03-05T14:20")] = None,
    conditions: Annotated[str | None, typer.Option(metavar="TEXT", help="On which conditions")] = None,
    evidence: EvidenceOption = None,
    by: ByOption = None,
) -> None:
    """Enter that a trial is released for something; refused while any finding is without disposition."""
    from portal.tasks import release as task
    from portal.tasks.opened import open_part
    from portal.tasks.record import Came

    opened = open_part(catalog, part, by=by, to="enter a release")
    warn(each for each in opened.problems if each.warning)
    came = Came(granted_by, how, when, tuple(evidence or ()))
    report(task.release(opened, trial, released_for, came, conditions=conditions))
