"""`portal keep`: an agreed piece becomes a limit sample, last good or first bad; one that no longer counts is ended."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from portal.catalog.write import as_yaml, write_whole
from portal.log.files import create_folder
from portal.model.answer import Disposition
from portal.model.event import About, Logged, check_code
from portal.model.logstate import Ticked
from portal.model.sample import LimitSample, Side
from portal.model.says import LimitSampleApproved, LimitSampleEnded, Party
from portal.model.shop import May
from portal.model.slug import is_slug
from portal.problem import PortalError, did_you_mean
from portal.tasks.acting import as_party, refuse_without, reviewer
from portal.tasks.keeping.sample import Pictured, pictured, sample_of
from portal.tasks.opened import Opened, day, one_of
from portal.tasks.record import Recorded, required

_AGAINST = {
    Side.LAST_GOOD: frozenset(
        {
            Disposition.JUDGED_OUTSIDE,
            Disposition.LIMIT_NOT_AGREED,
            Disposition.NOT_ACCEPTED,
            Disposition.REWORK,
            Disposition.SCRAP,
        }
    ),
    Side.FIRST_BAD: frozenset({Disposition.JUDGED_INSIDE, Disposition.LIMIT_AGREED}),
}
_HOLDER = re.compile(r"\s*(?P<who>[^:]*\S)\s*:\s*(?P<where>\S.*?)\s*")


@dataclass(frozen=True)
class Wanted:
    """What somebody typed."""

    finding: str | None
    side: str | None
    holders: tuple[str, ...] = ()
    expires: str | None = None
    next_check: str | None = None
    picture_only: bool = False
    id: str | None = None
    pair: str | None = None


def keep(opened: Opened, wanted: Wanted) -> Recorded:
    """Write the limit sample with copies of its pictures, then record it.

    Refused where nobody of the customer who may said that the piece is kept, where the finding was changed since, where
    it was accepted by concession or decided the other way. Cut off in between, the next call completes it.
    """
    finding = required(wanted.finding, "--finding ID", "which piece is kept")
    side = one_of(Side, required(wanted.side, '--as "last good"', "which side of the limit it stands for"), "--as")
    opened.finding(finding)
    tick = _tick(opened, finding, side)
    _refuse_contradiction(opened, finding, side)
    shown = pictured(opened, finding)
    sample = sample_of(opened, tick, shown, given=_given(opened, wanted), id_=_id(opened, wanted), pair=wanted.pair)
    agreed = _agreed(opened, tick)
    known = _half_kept(opened, sample)
    if known is None:
        _refuse_taken(opened, sample.id)
        _write(opened.gathered.folder, sample, shown)
    kept = known or sample
    logged = opened.write(_says(opened, kept, tick, agreed), About(trial=tick.trial, finding=finding))
    return Recorded(logged, tuple(_doubts(kept, shown)))


def end(opened: Opened, id_: str, *, why: str | None, replaced_by: str | None) -> Logged:
    """A limit sample no longer counts: its file says so, and the log why."""
    sample = _own_sample(opened, id_)
    reason = required(why, "--why TEXT", "why it no longer counts")
    if sample.replaced_by is not None:
        raise PortalError(f"{id_} was replaced by {sample.replaced_by} already", hint="nothing is left to end")
    if replaced_by is not None:
        other = _own_sample(opened, replaced_by)
        if replaced_by == id_ or (other.side, other.defect) != (sample.side, sample.defect):
            raise PortalError(f"{replaced_by} can't take the place of {id_}", hint=f"name a {sample.side} of its class")
    key, value = ("replaced_by", replaced_by) if replaced_by else ("expires", opened.today.isoformat())
    _set(opened, sample, key, value)
    more = {"replaced_by": replaced_by} if replaced_by else {}
    return opened.write(LimitSampleEnded(sample=id_, why=reason, **more), About())


def _tick(opened: Opened, finding: str, side: Side) -> Ticked:
    """The newest word of the customer that it is kept."""
    of_finding = [each for each in opened.state.ticks if each.finding.finding == finding]
    found = [each for each in of_finding if each.side is side]
    if not found:
        hint = f"ask for it, or enter what they said: `portal record --finding {finding} … --keep {str(side)!r}`"
        others = "".join(f"; {each.by.name} wants it as {each.side}" for each in of_finding[-1:])
        raise PortalError(f"nobody of the customer said that {finding} is kept as {side}{others}", hint=hint)
    tick = found[-1]
    if tick.kept_as is not None:
        raise PortalError(f"{finding} is kept as {tick.kept_as} already", hint="nothing is left to do")
    now = opened.bases.get(finding)
    if tick.finding.basis is not None and tick.finding.basis != now:
        hint = "send it again, so that what is kept is what they see"
        raise PortalError(f"{finding} was changed since {tick.by.name} said that it is kept", hint=hint)
    return tick


def _refuse_contradiction(opened: Opened, finding: str, side: Side) -> None:
    counting = opened.state.finding(finding).counting
    for each in counting:
        if each.disposition is Disposition.CONCESSION:
            message = f"{finding} was accepted by concession: such a piece is never a limit sample"
            raise PortalError(message, hint=f"{check_code(each.event)} says so")
        if each.disposition in _AGAINST[side]:
            message = f"{finding} can't be {side}: {each.by.name} decided `{each.disposition}`"
            raise PortalError(message, hint="have it settled which of the two holds: `portal close`")


def _given(opened: Opened, wanted: Wanted) -> dict[str, object]:
    """What the engineer adds: pieces with their holders, until when it holds."""
    expires = day(required(wanted.expires, "--expires DATE", "until when it holds"), "--expires")
    if expires <= opened.today:
        raise PortalError(f"`--expires {expires}` is past", hint=f"today is {opened.today}", code=2)
    if wanted.picture_only == bool(wanted.holders):
        hint = '`--holder "WHO: WHERE"` for each piece, or `--picture-only`'
        raise PortalError("it isn't said who holds the piece", hint=hint, code=2)
    check = day(wanted.next_check, "--next-check").isoformat() if wanted.next_check else None
    held = [_holder(each) for each in wanted.holders]
    pieces = [{"holder": who, "place": where, **({"next_check": check} if check else {})} for who, where in held]
    kind = "picture only" if wanted.picture_only else "piece"
    return {"kind": kind, "pieces": pieces, "expires": expires.isoformat()}


def _holder(text: str) -> tuple[str, str]:
    found = _HOLDER.fullmatch(text)
    if found is None:
        raise PortalError(f"`--holder {text}` doesn't say who holds it and where", hint='as in "WHO: WHERE"', code=2)
    return found["who"], found["where"]


def _id(opened: Opened, wanted: Wanted) -> str:
    """The id that was asked for, or the next one after those that are there and those that the log knows."""
    if wanted.id is not None:
        if not is_slug(wanted.id):
            hint = "letters, digits, `-`, `.`, `_`"
            raise PortalError(f"`--id {wanted.id}` can't be a folder's name", hint=hint, code=2)
        return wanted.id
    numbered = [found for each in _taken(opened) if (found := re.fullmatch(r"(.*?)(\d+)", each))]
    if not numbered:
        return "LS-0001"
    last = max(numbered, key=lambda found: int(found[2]))
    return f"{last[1]}{int(last[2]) + 1:0{len(last[2])}d}"


def _taken(opened: Opened) -> set[str]:
    catalogue = opened.gathered.catalogue
    broken = {name for kind, name in catalogue.broken if kind == "limit sample"}
    return {*catalogue.limit_samples, *opened.state.samples, *broken}


def _refuse_taken(opened: Opened, id_: str) -> None:
    if id_ in _taken(opened):
        raise PortalError(f"limit sample {id_} is there already", hint="name another id", code=2)


def _half_kept(opened: Opened, sample: LimitSample) -> LimitSample | None:
    """A sample that was written for just this and never recorded, because something was cut off in between."""
    for each in opened.gathered.catalogue.limit_samples.values():
        if each.id not in opened.state.samples and _same(each, sample):
            return each
    return None


def _same(one: LimitSample, other: LimitSample) -> bool:
    named = ("part", "defect", "zone_class", "side", "condition", "value", "expires", "pictures")
    return all(getattr(one, name) == getattr(other, name) for name in named)


def _write(root: Path, sample: LimitSample, shown: tuple[Pictured, ...]) -> None:
    files = [("sample.yaml", as_yaml(sample.written())), *((each.name, each.content) for each in shown)]
    if not create_folder(root / sample.folder, files):
        raise PortalError(f"{sample.folder} is there already", hint="name another id: `--id ID`")


def _agreed(opened: Opened, tick: Ticked) -> Party:
    """The reviewer who said so, refused where the customer doesn't let them."""
    customer = opened.customer()
    who = reviewer(customer, tick.by.name)
    refuse_without(who, customer, may=May.LIMIT_SAMPLE, what="say that a piece is kept as a limit sample")
    return as_party(who, customer)


def _says(opened: Opened, sample: LimitSample, tick: Ticked, agreed: Party) -> LimitSampleApproved:
    more = {
        "piece": sample.pieces[0].serial if sample.pieces else None,
        "value": sample.value.text if sample.value else None,
        "u": sample.u.text if sample.u else None,
        "expires": sample.expires.isoformat() if sample.expires else None,
    }
    return LimitSampleApproved(
        sample=sample.id,
        side=sample.side,
        findings=opened.bound([tick.finding.finding]),
        agreed_shop=opened.by,
        agreed_customer=agreed,
        condition=sample.condition,
        rests_on=tick.event,
        **{name: value for name, value in more.items() if value},
    )


def _doubts(sample: LimitSample, shown: tuple[Pictured, ...]) -> Iterator[str]:
    if not any(each.has_scale for each in shown):
        yield "none of its pictures has a scale: it can't be shown at the same scale as a finding"
    if sample.pair is None:
        other = Side.FIRST_BAD if sample.side is Side.LAST_GOOD else Side.LAST_GOOD
        yield f"it has no {other} beside it yet"
    for each in sample.pieces:
        yield f"label the piece of {each.holder}: {each.serial}"


def _own_sample(opened: Opened, id_: str) -> LimitSample:
    known = {each.id: each for each in opened.gathered.catalogue.limit_samples.values() if each.part == opened.part.id}
    if id_ not in known:
        raise PortalError(f"{opened.part.id} has no limit sample `{id_}`", hint=did_you_mean(id_, known), code=2)
    return known[id_]


def _set(opened: Opened, sample: LimitSample, key: str, value: str) -> None:
    """Change one line of the sample's file, or add it; every other line stays as somebody wrote it."""
    path = opened.gathered.folder / sample.file
    lines = path.read_text(encoding="utf-8").splitlines(keepends=True)
    found = [index for index, line in enumerate(lines) if re.match(rf"{key}\s*:", line)]
    if getattr(sample, key) is not None and not found:
        raise PortalError(f"{sample.file}: `{key}` isn't on a line of its own", hint="write it there by hand")
    line = f"{key}: {value}\n"
    if found:
        lines[found[0]] = line
    else:
        if lines and not lines[-1].endswith("\n"):
            lines[-1] += "\n"
        lines.append(line)
    write_whole(path, "".join(lines).encode("utf-8"))
