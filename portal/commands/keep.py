"""`portal keep` on the command line."""

from pathlib import Path
from typing import Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, PartOption, report, show, told, warn


def keep(
    part: PartOption,
    catalog: CatalogArgument = Path(),
    finding: Annotated[str | None, typer.Option(metavar="ID", help="The finding whose piece is kept")] = None,
    side: Annotated[str | None, typer.Option("--as", metavar="SIDE", help="last good, or first bad")] = None,
    holder: Annotated[
        list[str] | None,
        typer.Option(metavar='"WHO: WHERE"', help="Who holds a piece, and where it lies; may be repeated"),
    ] = None,
    expires: Annotated[str | None, typer.Option(metavar="DATE", help="The last day on which it holds")] = None,
    next_check: Annotated[str | None, typer.Option(metavar="DATE", help="When the pieces are looked at again")] = None,
    picture_only: Annotated[bool, typer.Option("--picture-only", help="No piece is kept, only its pictures")] = False,
    id_: Annotated[
        str | None, typer.Option("--id", metavar="ID", help="Of the limit sample", show_default="the next free one")
    ] = None,
    pair: Annotated[
        str | None, typer.Option(metavar="ID", help="The other side", show_default="the one that lacks it")
    ] = None,
    ends: Annotated[str | None, typer.Option(metavar="ID", help="A limit sample that no longer counts")] = None,
    why: Annotated[str | None, typer.Option(metavar="TEXT", help="With --ends: why")] = None,
    replaced_by: Annotated[str | None, typer.Option(metavar="ID", help="With --ends: what takes its place")] = None,
    by: ByOption = None,
) -> None:
    """Keep an agreed piece as a limit sample, last good or first bad; or end one that no longer counts.

    The customer has to have said that the piece is kept: a tick with an answer, or entered by `portal record --keep`.
    """
    from portal.problem import PortalError
    from portal.tasks import keep as task
    from portal.tasks.opened import open_part

    opened = open_part(catalog, part, by=by, to="keep a limit sample")
    warn(opened.problems)
    if ends:
        if finding or side or holder or expires:
            raise PortalError("one thing at a time: keep a piece, or end a limit sample", code=2)
        show([told(task.end(opened, ends, why=why, replaced_by=replaced_by))])
        return
    wanted = task.Wanted(
        finding=finding,
        side=side,
        holders=tuple(holder or ()),
        expires=expires,
        next_check=next_check,
        picture_only=picture_only,
        id=id_,
        pair=pair,
    )
    report(task.keep(opened, wanted))
