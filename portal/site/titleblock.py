"""The title block on top of a part's and a review's page, as on a drawing."""

from dataclasses import dataclass
from datetime import date

from portal.model.event import check_code
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.result import TrialResult
from portal.model.say import Say, Several
from portal.model.shop import Shared
from portal.model.slug import natural
from portal.site.desk import Desk


@dataclass(frozen=True, slots=True)
class Entry:
    """One field of the title block."""

    name: Say | str
    value: Say | str
    more: Say | str | None = None
    strong: bool = False
    sent: bool = False
    """Whether only sending gives it its value."""


@dataclass(frozen=True, slots=True)
class TitleBlock:
    """The part's field, larger than the others, and the rest."""

    part: str
    numbers: Say
    drawing: Say
    customer: str
    entries: tuple[Entry, ...]


def part_block(desk: Desk, part: Part, *, moulds: tuple[Mould, ...]) -> TitleBlock:
    """The title block of a part."""
    tools = tuple(Say.of("title.tool", mould=each.id, tool=each.customer_tool_number) for each in moulds)
    return _block(
        desk,
        part,
        (
            _entry("title.material", part.material),
            _entry("title.mould", Say.of("title.list", all=Several(tools)) if tools else Say.of("title.none")),
            _entry("title.reference", part.reference or Say.of("title.none")),
            _entry("title.as_of", Say.of("title.day", day=desk.site.as_of)),
        ),
    )


def review_block(desk: Desk, result: TrialResult) -> TitleBlock:
    """The title block of a review: what was tried, which shots, and the places of what sending will add."""
    part, mould, trial = result.part, desk.mould(result), desk.trial(result)
    return _block(
        desk,
        part,
        (
            _entry("title.trial", trial.stage, Say.of("title.trial_id", trial=trial.id), strong=True),
            _entry("title.date", Say.of("title.day", day=trial.date), strong=True),
            _entry("title.cavities", _cavities(part, mould), _shots(trial), strong=True),
            _entry("title.mould", Say.of("title.mould_revision", mould=mould.id, revision=mould.revision),
                   Say.of("title.your_tool", tool=mould.customer_tool_number)),
            _entry("title.material", part.material, _lots(trial)),
            _entry("title.reference", part.reference or Say.of("title.none")),
            *_sending(desk, result),
        ),
    )  # fmt: skip


def _sending(desk: Desk, result: TrialResult) -> tuple[Entry, ...]:
    """The last review of the trial that went out, or the places of what sending will add."""
    trial = f"{result.mould}/{result.trial}"
    found = [each for each in desk.site.stored.get(result.part.id, ())
             if each.state.trial == trial and each.state.withdrawn is None]  # fmt: skip
    if not found:
        return (
            _later("title.review", Say.of("title.not_sent")),
            _later("title.asked_by", Say.of("title.not_sent")),
            _later("title.answer_by", Say.of("title.no_day")),
        )
    sent, state = found[-1].sent, desk.log(result.part.id)
    number = Say.of("sent.number", number=sent.number, code=check_code(sent.digest))
    days = sorted(ask.due for ask in state.open_asks(trial) if ask.due and ask.sent)
    until = Say.of("title.day", day=date.fromisoformat(days[0])) if days else Say.of("sent.no_day")
    waiting = any(ask.sent for ask in state.open_asks(trial))
    return (
        Entry(Say.of("title.review"), number, Say.of("sent.on", day=date.fromisoformat(sent.sent_on)), sent=True),
        Entry(Say.of("title.asked_by"), sent.by, sent=True),
        Entry(Say.of("title.answer_by"), until if waiting else Say.of("log.none_open"), sent=True),
    )


def _block(desk: Desk, part: Part, entries: tuple[Entry, ...]) -> TitleBlock:
    customer = desk.site.catalogue.customers.get(part.customer)
    return TitleBlock(
        part=part.name,
        numbers=Say.of("title.numbers", shop=part.numbers.shop, customer=part.numbers.customer),
        drawing=Say.of("title.drawing", number=part.drawing.number, revision=part.drawing.revision),
        customer=customer.name if customer else part.customer,
        entries=entries,
    )


def _entry(key: str, value: Say | str, more: Say | str | None = None, *, strong: bool = False) -> Entry:
    return Entry(Say.of(key), value, more, strong)


def _later(key: str, value: Say) -> Entry:
    return Entry(Say.of(key), value, sent=True)


def _cavities(part: Part, mould: Mould) -> Say:
    own = sorted((mark for mark, cavity in mould.cavities.items() if cavity.part == part.id), key=natural)
    return Say.of("title.cavity_list", n=len(own), cavities=Several(tuple(own)))


def _shots(trial: Trial) -> Say:
    shots = tuple(str(shot) for shot in trial.shots.kept)
    return Say.of("title.shot_list", n=len(shots), shots=Several(shots), discarded=trial.shots.discarded)


def _lots(trial: Trial) -> Say | None:
    if trial.material_lot and trial.colour_lot:
        return Say.of("title.lots", material=trial.material_lot, colour=trial.colour_lot)
    return Say.of("title.lot", material=trial.material_lot) if trial.material_lot else None


def may_show_changes(desk: Desk) -> bool:
    """Whether the audience sees what changed since the last trial."""
    return desk.shows(Shared.CHANGED)
