"""One thing of those that an event leaves owed, so that it can be settled by itself."""

from enum import StrEnum

from portal.model.answer import Evidence
from portal.model.base import Record
from portal.model.sample import Side
from portal.model.scalars import Count, FindingId, Sha256


class DutyKind(StrEnum):
    """What an event can leave owed."""

    CONFIRMATION = "confirmation"
    CRITERION = "criterion"
    CONCESSION = "concession"
    PIECE = "piece"
    LINE = "line"
    """An unclear line, to be read."""
    QUESTION = "question"
    """A question of the reviewer's own."""
    ASKED_BACK = "asked-back"
    EVIDENCE = "evidence"

    def is_replied_to(self) -> bool:
        """Whether the one who asked is owed words, so that nobody can call it done without any."""
        return self in {DutyKind.ASKED_BACK, DutyKind.EVIDENCE}


class Duty(Record):
    """One thing owed for an event. `number`: its ask's in the review; a line's or a question's place in the mail."""

    event: Sha256
    what: DutyKind
    number: Count | None = None
    finding: FindingId | None = None
    side: Side | None = None
    evidence: Evidence | None = None

    @property
    def name(self) -> str:
        """What it is called among all that its event leaves owed, as `criterion-3` or `piece-7K3F-last-good`."""
        said = (self.what, self.number, self.finding, self.side, self.evidence)
        return "-".join(str(each).replace(" ", "-") for each in said if each is not None)

    @property
    def place(self) -> str:
        """What a person types to name it: the first digits of its event, then its name."""
        return f"{self.event[:8]}:{self.name}"


def evidence_duties(event: str, number: int | None, wanted: tuple[Evidence, ...]) -> tuple[Duty, ...]:
    """What a wish for more evidence leaves owed: each kind by itself, or one thing where it names none."""
    numbered = {"number": number} if number is not None else {}
    kinds = [{"evidence": each} for each in dict.fromkeys(wanted)] or [{}]
    return tuple(Duty.model_validate({"event": event, "what": DutyKind.EVIDENCE, **numbered, **kind}) for kind in kinds)


def duty(event: str, what: DutyKind, number: int | None = None) -> Duty:
    """A duty that its number tells from others of its kind, where it has one."""
    return Duty(event=event, what=what, **({"number": number} if number is not None else {}))
