"""Events as records: what is kept, what is refused, what a letter decides."""

import json
from datetime import datetime
from typing import Any

import pytest

from portal.model.answer import AskKind, Concession, Disposition, disposition_of
from portal.model.digest import canonical
from portal.model.event import NotAnEvent, at_text, event_from, file_name, what_is_wrong
from portal.model.says import BY_KIND, Kind, QuestionAsked, Unknown
from portal.model.terms import Answer


def data(**changes: Any) -> dict[str, Any]:
    """A plain event, with changes."""
    plain = {
        "format": 1,
        "at": "2026-03-04T14:22:33.123456Z",
        "kind": "question-asked",
        "part": "LC-0440",
        "about": {"trial": "M-118/T2"},
        "by": {"name": "M. Vasquell", "role": "engineer", "organisation": "Halvenast Small Parts"},
        "via": "command",
        "after": ["0" * 64],
        "says": {
            "asks": "undecided",
            "question": "Inside or outside?",
            "offers": ["A", "B", "C", "E", "?"],
            "findings": [{"finding": "7K3F", "basis": "b" * 64}],
            "due": "2026-03-10",
        },
    }
    return {**plain, **changes}


def test_an_event_gives_back_the_very_data_it_was_read_from() -> None:
    """Only the keys that were given, text as written, so that its file's bytes can be made again."""
    event = event_from(data())
    assert isinstance(event.says, QuestionAsked)
    assert event.given() == data()
    assert canonical(event.given()) == canonical(json.loads(canonical(data())))


def test_every_kind_has_its_record() -> None:
    """The closed list of kinds and the records are the same set."""
    assert set(BY_KIND) == {str(kind) for kind in Kind}
    assert len(BY_KIND) == 15


def test_an_unknown_kind_is_kept_as_it_stands() -> None:
    """What a later version writes isn't dropped."""
    event = event_from(data(kind="sample-borrowed", says={"who": "J. Oostervald", "until": ["x", 3]}))
    assert isinstance(event.says, Unknown)
    assert event.says.plain() == {"who": "J. Oostervald", "until": ["x", 3]}
    assert event.given()["says"] == {"who": "J. Oostervald", "until": ["x", 3]}
    assert what_is_wrong(event) is None


def test_a_known_kind_with_a_key_it_does_not_know_is_kept_and_told() -> None:
    """A condition that this version can't read must not be taken for none."""
    event = event_from(data(says={**data()["says"], "unless": "rain"}))
    assert isinstance(event.says, Unknown)
    assert what_is_wrong(event) == "`unless`: extra inputs are not permitted"


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"format": 2}, "written in format 2; this version reads up to format 1"),
        ({"format": True}, "`format` is missing"),
        ({"format": "1"}, "`format` is missing"),
        ({"format": 0}, "`format` is missing"),
        ({"at": "2026-03-04T14:22:33Z"}, "`at`"),
        ({"after": ["00"]}, "`after.0`"),
        ({"says": None}, "`says` is missing"),
        ({"by": {}}, "`by.name`"),
        ({"mood": "good"}, "`mood`"),
    ],
)
def test_what_is_no_event_is_refused_in_a_sentence(changes: dict[str, Any], said: str) -> None:
    """The envelope is closed."""
    with pytest.raises(NotAnEvent) as refused:
        event_from(data(**changes))
    assert said in str(refused.value)


@pytest.mark.parametrize("whole", [[], "text", None, 3])
def test_only_an_object_is_an_event(whole: Any) -> None:
    """JSON of another shape."""
    with pytest.raises(NotAnEvent):
        event_from(whole)


def test_an_event_names_what_it_answers() -> None:
    """`named` gathers the hashes of `about` and of what it says."""
    closed = event_from(
        data(
            kind="matter-closed",
            about={"event": "a" * 64},
            says={"closes": ["b" * 64], "why": "told", "holds": "c" * 64},
        )
    )
    assert closed.named() == ("a" * 64, "b" * 64, "c" * 64)
    assert event_from(data()).findings() == ("7K3F",)


def test_the_file_name_is_the_time_and_the_hash() -> None:
    """`<at>-<hash>.json`, without what Windows forbids in names."""
    assert file_name("2026-03-04T14:22:33.123456Z", "a" * 64) == f"20260304T142233.123456Z-{'a' * 64}.json"


def test_a_time_is_written_in_the_worlds_clock_with_microseconds() -> None:
    """A zero in the microseconds is written too."""
    assert at_text(datetime.fromisoformat("2026-03-04T15:22:33+01:00")) == "2026-03-04T14:22:33.000000Z"


@pytest.mark.parametrize(
    ("letter", "kind", "means"),
    [
        (Answer.INSIDE, AskKind.UNDECIDED, Disposition.JUDGED_INSIDE),
        (Answer.INSIDE, AskKind.NOT_AGREED, Disposition.LIMIT_AGREED),
        (Answer.INSIDE, AskKind.DOES_NOT_CONFORM, None),
        (Answer.OUTSIDE, AskKind.UNDECIDED, Disposition.JUDGED_OUTSIDE),
        (Answer.OUTSIDE, AskKind.NOT_AGREED, Disposition.LIMIT_NOT_AGREED),
        (Answer.OUTSIDE, AskKind.DOES_NOT_CONFORM, Disposition.NOT_ACCEPTED),
        (Answer.CONCESSION, AskKind.UNDECIDED, Disposition.CONCESSION),
        (Answer.CONCESSION, AskKind.NOT_AGREED, None),
        (Answer.REWORK, AskKind.DOES_NOT_CONFORM, Disposition.REWORK),
        (Answer.REWORK, AskKind.UNDECIDED, None),
        (Answer.MORE_EVIDENCE, AskKind.UNDECIDED, None),
        (Answer.QUESTION_BACK, AskKind.QUESTION, None),
        (None, AskKind.UNDECIDED, None),
    ],
)
def test_a_letter_means_what_its_ask_offers(letter: Answer | None, kind: AskKind, means: Disposition | None) -> None:
    """A letter that the ask doesn't offer decides nothing."""
    assert disposition_of(letter, kind) is means


def test_a_bare_no_leaves_open_what_becomes_of_the_piece() -> None:
    """Not accepted isn't yet scrapped, sorted or reworked."""
    assert not Disposition.NOT_ACCEPTED.is_final()
    assert Disposition.SCRAP.is_final() and Disposition.SCRAP.is_for_the_shop()
    assert not Disposition.CONCESSION.is_for_the_shop()


def test_a_concession_says_what_it_lacks() -> None:
    """Justification, a scope of some kind, the customer's reference."""
    assert Concession().missing() == ("justification", "scope", "reference")
    assert Concession(quantity="500", reference="DEV-118").missing() == ("justification",)
    assert Concession(justification="out of sight", lots="0123", reference="DEV-118").missing() == ()
    for nothing in ("none", "TBD", "folgt", "n/a", "-", "?", "to follow"):
        said = Concession(justification="out of sight", lots=nothing, reference=nothing)
        assert said.missing() == ("scope", "reference")
