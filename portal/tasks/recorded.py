"""What the parts' logs say and what their sent reviews showed: inputs of a build beside the catalogue."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from portal.log import fold, parts_with_log, read
from portal.model.logaudience import log_for_customer
from portal.model.logstate import LogState, ReviewState
from portal.model.picture import Facts, PictureFacts
from portal.model.shown import Shown
from portal.model.terms import SHOP
from portal.problem import PortalError, Problem
from portal.site.inputs import Harm, Stored
from portal.tasks.basis import bases
from portal.tasks.gather import Gathered, Surveyed, Told, facts_of
from portal.tasks.manifest import Manifest
from portal.tasks.packing.readstore import kept_names, read_store, sent_of
from portal.tasks.packing.shelf import Lost, find_store

_BACK = "put it back from a copy; `portal log --verify` says all that is wrong"


@dataclass(frozen=True)
class Recorded:
    """The logs of the parts by name, with their sent reviews, the pictures of these, and what is wrong there."""

    logs: Mapping[str, LogState] = field(default_factory=dict)
    stored: Mapping[str, tuple[Stored, ...]] = field(default_factory=dict)
    facts: Mapping[str, Facts] = field(default_factory=dict)
    closed: Mapping[str, frozenset[str]] = field(default_factory=dict)
    """By part: the asks for which nobody owes anything, worked out before anything is left out for an audience."""
    bases: Mapping[tuple[str, str], str] = field(default_factory=dict)
    """By part and finding, worked out on the whole catalogue: what it rests on today."""
    problems: tuple[Problem, ...] = ()

    def handed_over(self, gathered: Gathered, audience: str) -> "Recorded":
        """What that audience may see of it; `gathered` is handed over already.

        A part that changed hands has a log in which another customer is spoken of: none of it is handed over.
        """
        if audience == SHOP:
            return self
        theirs = {part for part in gathered.catalogue.parts if not self._was_anothers(part, audience)}
        shared = gathered.catalogue.shop.share
        stored = {part: many for part, many in self.stored.items() if part in theirs}
        files = {file for many in stored.values() for each in many for file in each.pictures.values()}
        return replace(
            self,
            logs={part: log_for_customer(state, shared) for part, state in self.logs.items() if part in theirs},
            stored=stored,
            facts={file: facts for file, facts in self.facts.items() if file in files},
            closed={part: asks for part, asks in self.closed.items() if part in theirs},
            bases={(part, finding): basis for (part, finding), basis in self.bases.items() if part in theirs},
        )

    def _was_anothers(self, part: str, customer: str) -> bool:
        return any(each.shown and each.shown.customer_id != customer for each in self.stored.get(part, ()))


def recorded(
    gathered: Surveyed, *, known: Manifest | None = None, processes: int = 1, told: Told | None = None
) -> Recorded:
    """Read every part's log and the store of every review that it says was sent.

    What findings rest on today is in it where the findings were judged.
    """
    folder = gathered.folder
    catalogue = gathered.catalogue
    there = [each for each in parts_with_log(folder) if each in catalogue.parts or ("part", each) in catalogue.broken]
    read_logs = [read(folder, part) for part in there]
    logs = {log.part: fold(log.part, log.events) for log in read_logs}
    found = {part: reviews_of(folder, state, catalogue.shop.time_zone) for part, state in logs.items()}
    wanted = [file for many in found.values() for each in many for file in each.pictures.values()]
    files = [file for file in dict.fromkeys(wanted) if (folder / file).is_file()]
    facts = facts_of(folder, files, known=known, stamps=gathered.stamps, processes=processes, told=told)
    stored = {part: tuple(_with_sound_pictures(each, facts) for each in many) for part, many in found.items()}
    return Recorded(
        logs=logs,
        stored=stored,
        facts={file: each for file, each in facts.items() if _is_sound(file, each)},
        closed={part: state.closed_asks() for part, state in logs.items()},
        bases=bases(gathered) if logs and isinstance(gathered, Gathered) else {},
        problems=(*(each for log in read_logs for each in log.problems), *_problems(stored)),
    )


def reviews_of(folder: Path, state: LogState, time_zone: str) -> tuple[Stored, ...]:
    """Every review that a part's log says was sent, with what it showed; its pictures aren't looked at."""
    return tuple(_found(folder, state, each, time_zone) for each in state.reviews.values())


def _found(folder: Path, state: LogState, review: ReviewState, time_zone: str) -> Stored:
    logged = next(each for each in state.events if each.hash == review.event)
    place = find_store(folder, state.part, review)
    sent = sent_of(logged, (review.event,), time_zone=time_zone)
    if isinstance(place, Lost):
        return Stored(review, sent, None, {}, ((place.file, Harm.CHANGED if place.is_changed else Harm.GONE),))
    try:
        shown = read_store(place)
    except PortalError:
        file = f"{place.relative_to(folder).as_posix()}/shown.json"
        return Stored(review, sent, None, {}, ((file, Harm.UNREADABLE),))
    sent = sent_of(logged, (review.event,), time_zone=shown.time_zone)
    return Stored(review, sent, shown, _pictures(folder, place, shown))


def _pictures(folder: Path, place: Path, shown: Shown) -> dict[str, str]:
    within = place.relative_to(folder).as_posix()
    return {sha: f"{within}/{name}" for sha, name in kept_names(shown).items()}


def _with_sound_pictures(stored: Stored, facts: Mapping[str, Facts]) -> Stored:
    """Only those that are there as they were sent; the others are named."""
    sound = {sha: file for sha, file in stored.pictures.items() if file in facts and _is_sound(file, facts[file])}
    gone = tuple(
        (file, Harm.ANOTHER if file in facts else Harm.GONE)
        for sha, file in stored.pictures.items()
        if sha not in sound
    )
    return replace(stored, pictures=sound, wrong=(*stored.wrong, *gone))


def _is_sound(file: str, facts: Facts) -> bool:
    return isinstance(facts, PictureFacts) and facts.sha256 == Path(file).stem


def _problems(stored: Mapping[str, tuple[Stored, ...]]) -> Iterator[Problem]:
    for many in stored.values():
        for each in many:
            for file, why in each.wrong:
                said = f"{why}: review {each.state.number} ({each.state.code}) can't be drawn whole"
                yield Problem(file, 0, "", said, hint=_BACK)
