"""What a cavity and a trial come to: the worst finding, and nothing conforms that has gaps."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from portal.model.result import Assessment, RollUp, SheetFrame
from portal.model.say import Say, Several, Value
from portal.model.terms import VerdictWord

_WORST_FIRST = sorted(VerdictWord, key=lambda word: -word.badness)


@dataclass(frozen=True, slots=True)
class Gaps:
    """What keeps a trial from conforming as a whole, besides its findings."""

    frames: int = 0
    """Frames of the sheet that are still to be looked at."""
    broken_tags: int = 0
    unreadable: int = 0
    replaced: int = 0
    """Pictures that are other ones than those that were tagged."""
    unplaced: int = 0
    """Findings of which nobody said which cavity, and so which part."""
    nothing_required: bool = False
    """No running cavity makes the part, or the part names no view."""

    def any(self) -> bool:
        """Whether there is any."""
        return self.nothing_required or any(
            (self.frames, self.broken_tags, self.unreadable, self.replaced, self.unplaced)
        )


def cavities(
    sheet: Sequence[SheetFrame], assessments: Sequence[Assessment], *, order: Sequence[str]
) -> dict[str, RollUp]:
    """Each cavity of the sheet, and each that has a finding, by the order of the mould: its worst finding."""
    named = {frame.cavity for frame in sheet} | {each.cavity for each in assessments if each.cavity is not None}
    return {mark: cavity(mark, sheet, assessments) for mark in order if mark in named}


def cavity(mark: str, sheet: Sequence[SheetFrame], assessments: Sequence[Assessment]) -> RollUp:
    """One cavity: its worst finding; not judged where a frame is missing and nothing is worse."""
    own = [frame for frame in sheet if frame.cavity == mark]
    frames = sum(1 for frame in own if frame.missing)
    return _rolled([each for each in assessments if each.cavity == mark], Gaps(frames, nothing_required=not own))


def trial(assessments: Sequence[Assessment], gaps: Gaps) -> RollUp:
    """The whole: it conforms only where every required frame was looked at and all that was found conforms."""
    return _rolled(assessments, gaps)


def _rolled(assessments: Sequence[Assessment], gaps: Gaps) -> RollUp:
    words = [each.verdict.word for each in assessments]
    if gaps.any():
        words.append(VerdictWord.NOT_JUDGED)
    worst = max(words, key=lambda word: word.badness, default=VerdictWord.CONFORMS)
    return RollUp(worst, Say.of("rollup.whole", findings=_findings(assessments), coverage=_coverage(gaps)))


def _findings(assessments: Sequence[Assessment]) -> Say:
    if not assessments:
        return Say.of("rollup.no-findings")
    counts: Mapping[VerdictWord, int] = {
        word: sum(1 for each in assessments if each.verdict.word is word) for word in _WORST_FIRST
    }
    words = tuple(Say.of(f"rollup.{word.value.replace(' ', '-')}", n=n) for word, n in counts.items() if n)
    return Say.of("rollup.findings", n=len(assessments), words=Several(words))


def _coverage(gaps: Gaps) -> Say:
    if gaps.nothing_required and not gaps.frames:
        missing: list[Value] = [Say.of("rollup.nothing-required")]
    else:
        missing = [Say.of("rollup.missing", n=gaps.frames)] if gaps.frames else []
    missing += [
        Say.of(f"rollup.{name}", n=n)
        for name, n in (
            ("broken-tags", gaps.broken_tags),
            ("unreadable", gaps.unreadable),
            ("replaced", gaps.replaced),
            ("unplaced", gaps.unplaced),
        )
        if n
    ]
    return Say.of("rollup.gaps", gaps=Several(tuple(missing))) if missing else Say.of("rollup.complete")
