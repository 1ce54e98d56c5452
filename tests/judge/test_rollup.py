"""What cavities and trials come to."""

from portal.judge import rollup
from portal.judge.case import decided
from portal.judge.rollup import Gaps
from portal.model.result import Assessment, SheetFrame
from portal.model.say import Say, Several
from portal.model.terms import VerdictWord

CONFORMS, FAILS = VerdictWord.CONFORMS, VerdictWord.DOES_NOT_CONFORM
UNDECIDED, NOT_JUDGED = VerdictWord.UNDECIDED, VerdictWord.NOT_JUDGED


def found(word: VerdictWord, cavity: str | None = "1") -> Assessment:
    """A finding with that verdict."""
    return Assessment(
        finding="7K3F",
        part="LC-0440",
        mould="M-118",
        trial="T2",
        cavity=cavity,
        picture="a.jpg",
        verdict=decided(word, Say.of("verdict.inside")),
    )


def frame(cavity: str = "1", missing: int = 0) -> SheetFrame:
    """A frame of the sheet."""
    return SheetFrame(cavity, "top", 1, (), (), (), missing)


def inner(say: Say, name: str) -> Say:
    """A sentence within the sentence."""
    value = say.get(name)
    assert isinstance(value, Say)
    return value


def test_a_cavity_is_its_worst_finding() -> None:
    """Does not conform, then undecided, then not judged, then conforms."""
    words = [CONFORMS, NOT_JUDGED, UNDECIDED, FAILS]
    for last in range(1, 5):
        rolled = rollup.cavity("1", [frame()], [found(word) for word in words[:last]])
        assert rolled.word is words[last - 1]


def test_a_cavity_without_findings_conforms_once_all_was_looked_at() -> None:
    """Every required frame looked at, nothing found."""
    assert rollup.cavity("1", [frame()], []).word is CONFORMS


def test_a_cavity_with_a_missing_frame_is_not_judged() -> None:
    """Even where all that was found conforms."""
    rolled = rollup.cavity("1", [frame(), frame(missing=1)], [found(CONFORMS)])
    assert rolled.word is NOT_JUDGED
    assert inner(rolled.sentence, "coverage").key == "rollup.gaps"


def test_findings_and_frames_of_other_cavities_do_not_count() -> None:
    """Cavity 1 is clean whatever cavity 2 is."""
    sheet = [frame("1"), frame("2", missing=1)]
    rolled = rollup.cavities(sheet, [found(FAILS, "2")], order=("1", "2", "3"))
    assert {mark: each.word for mark, each in rolled.items()} == {"1": CONFORMS, "2": FAILS}


def test_a_finding_on_a_blocked_cavity_is_still_shown() -> None:
    """It has no frame on the sheet, and never comes to conforms."""
    rolled = rollup.cavities([frame("1")], [found(CONFORMS, "3")], order=("1", "3"))
    assert rolled["3"].word is NOT_JUDGED


def test_a_trial_conforms_only_without_gaps() -> None:
    """Any single gap keeps it from conforming, whatever was found."""
    assert rollup.trial([found(CONFORMS)], Gaps()).word is CONFORMS
    for gaps in (
        Gaps(frames=1),
        Gaps(broken_tags=1),
        Gaps(unreadable=1),
        Gaps(replaced=1),
        Gaps(unplaced=1),
        Gaps(nothing_required=True),
    ):
        assert rollup.trial([found(CONFORMS)], gaps).word is NOT_JUDGED
        assert rollup.trial([found(FAILS)], gaps).word is FAILS


def test_the_sentence_counts_worst_first() -> None:
    """3 findings: 1 does not conform, 2 conform; 2 frames missing."""
    rolled = rollup.trial([found(CONFORMS), found(FAILS), found(CONFORMS)], Gaps(frames=2))
    findings = inner(rolled.sentence, "findings")
    assert findings.get("n") == 3
    assert findings.get("words") == Several((Say.of("rollup.does-not-conform", n=1), Say.of("rollup.conforms", n=2)))
    assert inner(rolled.sentence, "coverage").get("gaps") == Several((Say.of("rollup.missing", n=2),))
