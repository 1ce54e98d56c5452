"""A part with its log, opened by somebody of the shop who writes in it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from pathlib import Path
from typing import TypeVar
from zoneinfo import ZoneInfo

from portal.log import Log, append, fold, read
from portal.model.answer import Bound
from portal.model.event import About, Logged, Via
from portal.model.logstate import AskState, LogState, ReviewState
from portal.model.part import Part
from portal.model.result import Assessment, TrialResult
from portal.model.says import Party, Says
from portal.model.scalars import read_day
from portal.model.shop import Customer
from portal.problem import PortalError, Problem, did_you_mean
from portal.tasks import manifest
from portal.tasks.acting import party
from portal.tasks.basis import bases
from portal.tasks.gather import Gathered, gather

E = TypeVar("E", bound=StrEnum)


@dataclass(frozen=True)
class Opened:
    """All that has to be known to write in a part's log."""

    gathered: Gathered
    part: Part
    by: Party
    log: Log
    state: LogState
    results: tuple[TrialResult, ...]
    """Of this part's trials, from old to new."""
    bases: Mapping[str, str]
    """By finding: the digest of what it rests on today."""
    via: Via = Via.COMMAND
    """By which way what is written came."""

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What is wrong with the log's files."""
        return tuple(self.log.problems)

    @property
    def today(self) -> date:
        """The shop's day."""
        return datetime.now(ZoneInfo(self.gathered.catalogue.shop.time_zone)).date()

    def customer(self) -> Customer:
        """The part's customer; refused where the record can't be read."""
        catalogue, name = self.gathered.catalogue, self.part.customer
        where = catalogue.broken.get(("customer", name))
        if where is not None or name not in catalogue.customers:
            told = f"can't be read: {where}" if where else "is not there"
            raise PortalError(
                f"the customer of {self.part.id}, `{name}`, {told}", hint="mend that file: `portal check` says how"
            )
        return catalogue.customers[name]

    def findings(self) -> dict[str, tuple[TrialResult, Assessment]]:
        """Every finding of the part with what was worked out, by id."""
        return {each.finding: (result, each) for result in self.results for each in result.assessments}

    def finding(self, id_: str) -> tuple[TrialResult, Assessment]:
        """A finding that is there and wasn't withdrawn."""
        known = self.findings()
        if id_ not in known:
            gone = " any more" if id_ in self.state.findings else ""
            hint = did_you_mean(id_, known) or "`portal findings` lists all"
            raise PortalError(f"{self.part.id} has no finding `{id_}`{gone}", hint=hint, code=2)
        withdrawn = self.state.finding(id_).withdrawn
        if withdrawn is not None:
            raise PortalError(f"finding {id_} was withdrawn by {withdrawn.event.by.name}", hint="draw it anew")
        return known[id_]

    def trial(self, name: str) -> TrialResult:
        """A trial by `MOULD/T`, or by `T` where only one of the part's moulds has it."""
        known = {trial_name(each): each for each in self.results}
        found = [each for whole, each in known.items() if name in (whole, each.trial)]
        if len(found) == 1:
            return found[0]
        hint = did_you_mean(name, known)
        if found:
            which = ", ".join(f"`{trial_name(each)}`" for each in found)
            raise PortalError(f"`{name}` is more than one trial of {self.part.id}", hint=f"name one: {which}", code=2)
        raise PortalError(f"{self.part.id} has no trial `{name}`", hint=hint, code=2)

    def trial_of(self, findings: Iterable[str]) -> str:
        """The one trial to which all these findings belong."""
        of = {finding: trial_name(self.finding(finding)[0]) for finding in findings}
        if len(set(of.values())) > 1:
            told = ", ".join(f"{finding} of {trial}" for finding, trial in of.items())
            raise PortalError(f"these belong to several trials: {told}", hint="one trial at a time", code=2)
        return next(iter(of.values()))

    def bound(self, findings: Iterable[str]) -> tuple[Bound, ...]:
        """Findings with what they rest on today."""
        return tuple(Bound(finding=each, basis=self.bases[each]) for each in findings)

    def why_not_again(self, finding: str) -> str | None:
        """Why a finding isn't asked about once more; None where it is to be asked about."""
        return self.state.why_not_again(finding, self.bases[finding])

    def event(self, hash_: str) -> Logged:
        """An event of the log by its hash, or by the first digits of it."""
        found = [each for each in self.state.events if len(hash_) >= 4 and each.hash.startswith(hash_.lower())]
        if len(found) == 1:
            return found[0]
        if found:
            raise PortalError(f"`{hash_}` is how several events begin", hint="give more digits", code=2)
        hint = "`portal log` shows the first eight digits of each"
        raise PortalError(f"the log of {self.part.id} has no event `{hash_}`", hint=hint, code=2)

    def ask(self, hash_: str) -> AskState:
        """An ask by the hash of the event that asked, or by the first digits of it."""
        found = self.event(hash_)
        if found.hash not in self.state.asks:
            raise PortalError(f"event `{hash_}` is no ask", hint="`portal log` tells which events ask", code=2)
        return self.state.asks[found.hash]

    def review(self, code: str) -> ReviewState:
        """A sent review by its check code."""
        found = self.state.review_by_code(code)
        if len(found) == 1:
            return found[0]
        known = ", ".join(f"{each.code} (review {each.number})" for each in self.state.reviews.values())
        hint = f"give its check code: {known}" if known else "no review was sent yet"
        raise PortalError(f"{self.part.id} has no review `{code}`", hint=hint, code=2)

    def write(self, says: Says, about: About) -> Logged:
        """Append what somebody says."""
        return append(self.log, says, about=about, by=self.by, via=self.via)


def open_part(
    folder: Path, part: str, *, by: str | None, to: str, engineer: bool = True, via: Via = Via.COMMAND
) -> Opened:
    """Gather a catalogue and open one part's log; what the shop's own site knows of pictures isn't looked up again."""
    gathered = gather(folder, known=manifest.load(folder / "site" / "shop"))
    catalogue = gathered.catalogue
    who = party(catalogue.shop, by, to=to, engineer=engineer)
    where = catalogue.broken.get(("part", part))
    if where is not None:
        raise PortalError(f"part `{part}` can't be read: {where}", hint="mend that file: `portal check` says how")
    if part not in catalogue.parts:
        raise PortalError(f"there is no part `{part}`", hint=did_you_mean(part, catalogue.parts), code=2)
    log = read(folder, part)
    return Opened(
        gathered=gathered,
        part=catalogue.parts[part],
        by=who,
        log=log,
        state=fold(part, log.events),
        results=tuple(each for each in gathered.results if each.part.id == part),
        bases={finding: digest for (owner, finding), digest in bases(gathered).items() if owner == part},
        via=via,
    )


def trial_name(result: TrialResult) -> str:
    """`<mould>/<trial>`."""
    return f"{result.mould}/{result.trial}"


def one_of(words: type[E], text: str, option: str) -> E:
    """One of a closed set of words, as somebody typed it."""
    try:
        return words(text)
    except ValueError:
        hint = did_you_mean(text, [str(each) for each in words])
        raise PortalError(f"`{option}`: `{text}` is none of what it takes", hint=hint, code=2) from None


def day(text: str, option: str) -> date:
    """A day that somebody typed."""
    try:
        return read_day(text)
    except ValueError as error:
        raise PortalError(f"`{option}`: {error}", code=2) from None
