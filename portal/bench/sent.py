"""What the parts' logs hold of findings: ids that were ever used, and findings that a sent review showed."""

from dataclasses import dataclass, field
from pathlib import Path

from portal.bench.refused import Refused
from portal.log import fold, parts_with_log, read
from portal.log.read import log_folder
from portal.model.catalogue import Catalogue
from portal.model.logstate import LogState
from portal.site.inputs import Stored
from portal.tasks.inputs import stamp_of
from portal.tasks.packing.shelf import SHOWN
from portal.tasks.recorded import Recorded, reviews_of


@dataclass
class Logs:
    """The logs of all parts, read again once a file was added to one of them."""

    folder: Path
    _known: dict[str, tuple[tuple[str, ...], LogState]] = field(default_factory=dict)
    _reviews: dict[str, tuple[LogState, tuple[object, ...], tuple[Stored, ...]]] = field(default_factory=dict)

    def states(self) -> tuple[LogState, ...]:
        """What each part's log comes to."""
        return tuple(self._state(part) for part in parts_with_log(self.folder))

    def ids(self) -> frozenset[str]:
        """Every finding that a log names, also one whose tag is gone."""
        return frozenset(id_ for state in self.states() for id_ in state.findings)

    def sent(self) -> frozenset[str]:
        """Every finding that a sent review showed."""
        return frozenset(id_ for state in self.states() for id_, each in state.findings.items() if each.shown)

    def recorded(self, catalogue: Catalogue) -> Recorded:
        """The logs of the catalogue's parts, and what their sent reviews showed; their pictures aren't looked at."""
        there = {
            part: self._state(part)
            for part in parts_with_log(self.folder)
            if part in catalogue.parts or ("part", part) in catalogue.broken
        }
        stored = {part: self._reviews_of(state, catalogue.shop.time_zone) for part, state in there.items()}
        return Recorded(logs=there, stored=stored)

    def refuse_sent(self, ids: set[str]) -> None:
        """Refuse to change findings that a sent review showed: a change of these is an event with a reason."""
        for state in self.states():
            for id_ in sorted(ids & set(state.findings)):
                shown = state.findings[id_].shown
                if shown:
                    review = state.reviews.get(shown[-1][0])
                    if review is None:
                        raise Refused("refused.shown", hint="refused.withdraw", finding=id_)
                    number, code = str(review.number), review.code
                    hint = "refused.withdraw"
                    raise Refused("refused.shown_in", hint=hint, finding=id_, number=number, code=code)

    def _reviews_of(self, state: LogState, time_zone: str) -> tuple[Stored, ...]:
        """Read again once an event was added, or one of the files was changed, taken away or put back."""
        kept = sorted((self.folder / "parts" / state.part / "reviews").glob(f"*/{SHOWN}"))
        key = (time_zone, *((str(each), stamp_of(each)) for each in kept))
        known = self._reviews.get(state.part)
        if known is None or known[0] is not state or known[1] != key:
            known = self._reviews[state.part] = (state, key, reviews_of(self.folder, state, time_zone))
        return known[2]

    def _state(self, part: str) -> LogState:
        names = tuple(sorted(each.name for each in log_folder(self.folder, part).iterdir()))
        known = self._known.get(part)
        if known is None or known[0] != names:
            known = (names, fold(part, read(self.folder, part).events))
            self._known[part] = known
        return known[1]
