"""`portal close` on the command line."""

from pathlib import Path
from typing import Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, PartOption, show, told, warn


def close(
    part: PartOption,
    closes: Annotated[
        list[str],
        typer.Option(metavar="HASH[:NAME]", help="What is owed, as `portal log` names it; may be repeated"),
    ],
    why: Annotated[str, typer.Option(metavar="TEXT", help="Why it needs nothing more")],
    catalog: CatalogArgument = Path(),
    holds: Annotated[
        str | None, typer.Option(metavar="HASH", help="Where answers disagree: the event of the one that holds")
    ] = None,
    settled_by: Annotated[str | None, typer.Option(metavar="NAME", help="Who of the customer settled that")] = None,
    whole: Annotated[bool, typer.Option("--all", help="All that is owed for an event, where that is more")] = False,
    by: ByOption = None,
) -> None:
    """Close what needs nothing more; where answers of the customer disagree, say which of them holds."""
    from portal.tasks import close as task
    from portal.tasks.opened import open_part

    opened = open_part(catalog, part, by=by, to="close something")
    warn(opened.problems)
    show([told(task.close(opened, tuple(closes), why=why, whole=whole, holds=holds, settled_by=settled_by))])
