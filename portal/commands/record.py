"""`portal record` on the command line."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from portal.commands.words import ByOption, CatalogArgument, EvidenceOption, PartOption, report, show, told, warn

if TYPE_CHECKING:
    from portal.model.answer import AgreedLimit, Concession

Text = Annotated[str | None, typer.Option(metavar="TEXT")]


def record(
    part: PartOption,
    catalog: CatalogArgument = Path(),
    decided_by: Annotated[str | None, typer.Option(metavar="NAME", help="The reviewer who decided")] = None,
    how: Annotated[str | None, typer.Option(help="telephone, meeting, mail, signed document")] = None,
    when: Annotated[str | None, typer.Option(metavar="DATE", help="As 2026-03-05 or 2026-03-05T14:20")] = None,
    ask: Annotated[str | None, typer.Option(metavar="HASH", help="The ask that was answered")] = None,
    finding: Annotated[list[str] | None, typer.Option(metavar="ID", help="About a finding; may be repeated")] = None,
    left_out: Annotated[list[str] | None, typer.Option(metavar="ID", help="Of the ask, and not decided")] = None,
    letter: Annotated[str | None, typer.Option(help="A, B, C, D, E or ?, as in a review")] = None,
    kind: Annotated[str | None, typer.Option(help="As of `portal ask`, where no ask is named")] = None,
    words: Annotated[str | None, typer.Option(metavar="TEXT", help="An answer in words")] = None,
    comment: Text = None,
    question: Annotated[str | None, typer.Option(metavar="TEXT", help="The question back, with `?`")] = None,
    wants: Annotated[
        list[str] | None,
        typer.Option(help="With E: side view, other light, gauge reading, section, the piece itself"),
    ] = None,
    looked_at: Annotated[str | None, typer.Option(help="pictures, or piece in hand")] = None,
    justification: Annotated[str | None, typer.Option(metavar="TEXT", help="Of a concession")] = None,
    scope_number: Annotated[str | None, typer.Option(metavar="TEXT", help="Of a concession: its number")] = None,
    lots: Annotated[str | None, typer.Option(metavar="TEXT", help="Of a concession: which lots")] = None,
    cavities: Annotated[str | None, typer.Option(metavar="TEXT", help="Of a concession: which cavities")] = None,
    quantity: Annotated[str | None, typer.Option(metavar="TEXT", help="Of a concession: how many")] = None,
    until: Annotated[str | None, typer.Option(metavar="TEXT", help="Of a concession: until when")] = None,
    reference: Annotated[str | None, typer.Option(metavar="TEXT", help="Of a concession: the customer's own")] = None,
    limit: Annotated[str | None, typer.Option(metavar="TEXT", help="The limit that is agreed, with A")] = None,
    limit_condition: Annotated[str | None, typer.Option(metavar="TEXT", help="Under which condition")] = None,
    limit_holds: Annotated[str | None, typer.Option(help="from now, or this trial only")] = None,
    keep: Annotated[str | None, typer.Option(metavar="SIDE", help="Keep the piece: last good, or first bad")] = None,
    evidence: EvidenceOption = None,
    confirms: Annotated[
        str | None, typer.Option(metavar="HASH", help="Brings the evidence for a decision recorded earlier")
    ] = None,
    shop: Annotated[bool, typer.Option("--shop", help="The shop's own decision, with --disposition")] = False,
    disposition: Annotated[str | None, typer.Option(help="rework, scrap, sort, mould correction")] = None,
    why: Text = None,
    by: ByOption = None,
) -> None:
    """Enter a decision that came by telephone, in a meeting, by mail or as a signed document; or the shop's own."""
    from portal.tasks import record as task
    from portal.tasks.dispose import dispose
    from portal.tasks.opened import open_part

    _refuse_mixtures(shop, disposition, why, confirms, letter, decided_by)
    opened = open_part(catalog, part, by=by, to="record a decision")
    warn(opened.problems)
    findings = tuple(finding or ())
    if shop:
        show([told(dispose(opened, disposition or "", findings, why=why, ask=ask))])
        return
    came = task.Came(decided_by, how, when, tuple(evidence or ()))
    if confirms:
        report(task.confirm(opened, confirms, came))
        return
    decision = task.Decision(
        ask=ask,
        findings=findings,
        left_out=tuple(left_out or ()),
        letter=letter,
        kind=kind,
        words=words,
        comment=comment,
        question=question,
        wants=tuple(wants or ()),
        looked_at=looked_at,
        concession=_concession(
            justification=justification,
            number=scope_number,
            lots=lots,
            cavities=cavities,
            quantity=quantity,
            until=until,
            reference=reference,
        ),
        limit=_limit(limit, limit_condition, limit_holds),
        keep=keep,
    )
    report(task.record(opened, decision, came))


def _refuse_mixtures(
    shop: bool,
    disposition: str | None,
    why: str | None,
    confirms: str | None,
    letter: str | None,
    decided_by: str | None,
) -> None:
    """What the shop decides and what the customer decided are two things."""
    from portal.problem import PortalError

    if shop and not disposition:
        raise PortalError("it isn't said what the shop decides", hint="add `--disposition`", code=2)
    if shop and (letter or decided_by or confirms):
        raise PortalError("a letter is the customer's answer", hint="leave out `--shop`, or name only it", code=2)
    if not shop and (disposition or why):
        raise PortalError("`--disposition` and `--why` are the shop's", hint="add `--shop`", code=2)
    if confirms and letter:
        raise PortalError("what is confirmed decides nothing new", hint="leave out `--letter`", code=2)


def _concession(**said: str | None) -> "Concession":
    from portal.model.answer import Concession

    return Concession(**{name: text for name, text in said.items() if text})


def _limit(text: str | None, condition: str | None, holds: str | None) -> "AgreedLimit | None":
    from portal.model.answer import AgreedLimit, HoldsFrom
    from portal.problem import PortalError
    from portal.tasks.opened import one_of

    if text is None:
        if condition or holds:
            raise PortalError("it isn't said which limit is agreed", hint="add `--limit`", code=2)
        return None
    given = {"condition": condition, "holds": one_of(HoldsFrom, holds, "--limit-holds") if holds else None}
    return AgreedLimit.model_validate({"limit": text, **{name: each for name, each in given.items() if each}})
