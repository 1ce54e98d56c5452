"""Labels for the bags of a trial's pieces, as a page that prints on A4: which piece it is, and of what."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.bench.page import OTHER_STYLES
from portal.bench.state import Bench
from portal.model.mould import Mould, Piece, Status, Trial
from portal.model.slug import natural
from portal.site.typeset import typeset
from portal.site.words import Speaker

PER_SHEET = 24
"""Three beside each other, eight below each other; the style has their size."""


@dataclass(frozen=True, slots=True)
class Label:
    """What stands on one bag; an empty text is a line to write on."""

    piece: str
    cavity: str
    shot: str
    part: str
    name: str
    number: str
    """The customer's own number of the part."""
    place: str


def labels(bench: Bench, key: str, speaker: Speaker) -> bytes:
    """The page for one trial; NotThere where there is none."""
    mould, trial = bench.index.trial(key)
    every = [_label(bench, mould, *each) for each in sorted(bags(mould, trial), key=_order)]
    sheets = [every[start : start + PER_SHEET] for start in range(0, len(every), PER_SHEET)]
    return typeset(
        "benchlabels",
        speaker,
        here="",
        sheets=sheets,
        count=len(every),
        shop=bench.catalogue.shop.shop.name,
        mould=mould.id,
        trial=trial.id,
        stage=trial.stage,
        day=trial.date,
        styles=("style.css", *OTHER_STYLES),
    )


def bags(mould: Mould, trial: Trial) -> Iterator[tuple[str, str, Piece | None]]:
    """Cavity, shot and piece of each bag: every piece of the record, and a bag for each running cavity's kept shot of
    which it has none yet."""
    for piece in trial.pieces:
        yield piece.cavity, str(piece.shot), piece
    known = {(each.cavity, each.shot) for each in trial.pieces}
    for mark, cavity in mould.cavities.items():
        for shot in trial.shots.kept:
            if cavity.status is Status.RUNNING and (mark, shot) not in known:
                yield mark, str(shot), None


def _order(bag: tuple[str, str, Piece | None]) -> tuple[object, ...]:
    cavity, shot, piece = bag
    return natural(cavity), natural(shot), natural(piece.id if piece else "")


def _label(bench: Bench, mould: Mould, cavity: str, shot: str, piece: Piece | None) -> Label:
    own = mould.cavities.get(cavity)
    part = bench.catalogue.parts.get(own.part) if own else None
    return Label(
        piece=piece.id if piece else "",
        cavity=cavity,
        shot=shot,
        part=part.id if part else own.part if own else "",
        name=part.name if part else "",
        number=(part.numbers.customer) if part else "",
        place=(piece.place or "") if piece else "",
    )
