"""What the form offers, and its words of the grammar that replies are read with, in every language."""

from pathlib import Path

import pytest
from babel.messages.pofile import read_po

from portal import resources
from portal.log.keywords import KEYWORD, Key, evidence_of, holds_from, looked_at, side_of
from portal.log.reply import read_reply
from portal.model.answer import AskKind, Evidence, HoldsFrom, LookedAt
from portal.model.reply import Asked
from portal.model.sample import Side
from portal.model.terms import Answer
from portal.site.answerform import answer_form, key_of
from portal.site.redrawn import redrawn, speaker_of
from portal.site.words import speaks
from tests.site.sentreview import Store

LANGUAGES = ("en", "de")
KEYS = {
    "quantity": Key.QUANTITY,
    "number": Key.NUMBER,
    "lots": Key.LOTS,
    "cavities": Key.CAVITIES,
    "until": Key.UNTIL,
    "reference": Key.REFERENCE,
    "because": Key.BECAUSE,
    "except": Key.EXCEPT,
    "keep": Key.KEEP,
    "looked_at": Key.LOOKED,
    "limit": Key.LIMIT,
    "condition": Key.CONDITION,
    "comment": Key.COMMENT,
}


def words(language: str) -> dict[str, tuple[str, ...]]:
    """Every message of the form, all its plural forms."""
    with (resources.templates() / "locale" / language / "answer.po").open("rb") as file:
        found = {each.id: each.string or "" for each in read_po(file, locale=language, abort_invalid=True) if each.id}
    return {
        key if isinstance(key, str) else key[0]: (text,) if isinstance(text, str) else tuple(text)
        for key, text in found.items()
    }


@pytest.mark.parametrize("language", LANGUAGES)
def test_words_that_the_form_writes_are_read_as_what_they_mean(language: str) -> None:
    """Each word of the grammar, and each way to say which evidence, what was looked at, how far, which side."""
    said = {key: forms[0] for key, forms in words(language).items()}
    for name, key in KEYS.items():
        match = KEYWORD.fullmatch(said[f"reply.{name}"])
        assert match is not None and match.lastgroup == key.name
    for evidence in Evidence:
        assert evidence_of(said[f"evidence.{key_of(evidence)}"]) == (evidence,)
    for looked in LookedAt:
        assert looked_at(said[f"looked.{key_of(looked)}"]) is looked
    for holds in HoldsFrom:
        assert holds_from(said[f"holds.{key_of(holds)}"]) is holds
    for side in Side:
        assert side_of(said[f"keep.{key_of(side)}"]) is side
    ask = Asked(1, "1" * 64, AskKind.UNDECIDED, AskKind.UNDECIDED.offers, ())
    around = (f"{said['reply.review']} a94f0c31", said["reply.answers"], f"{said['reply.answered_by']} K. Ammerlund")
    reply = read_reply("\n\n".join((*around, "1 A")), {1: ask})
    assert (len(reply.answers), reply.unclear, reply.answered_by) == (1, (), "K. Ammerlund")


def test_a_language_is_spoken_only_where_every_room_has_its_words() -> None:
    """Else a page would be half in another."""
    assert speaks("en")
    rooms = {language: {each.name for each in (resources.templates() / "locale" / language).glob("*.po")}
             for language in LANGUAGES}  # fmt: skip
    assert speaks("de") == (rooms["de"] >= rooms["en"])
    assert not speaks("xx")


def test_each_letter_takes_what_the_answers_record_may_hold_with_it(tmp_path: Path) -> None:
    """Concession with C, limit with A of what isn't agreed, evidence with E, a piece to keep with A and B."""
    store = Store(tmp_path)
    speaker = speaker_of(store.shown)
    form = answer_form(redrawn(store.shown, store.sent, speaker, lambda sha: f"#p-{sha}"), speaker)
    assert [each.letters_with("concession") for each in form.asks] == ["C", "C", "", ""]
    assert [each.letters_with("limit") for each in form.asks] == ["", "", "A", ""]
    assert [each.letters_with("evidence") for each in form.asks] == ["E", "E", "E", "E"]
    assert [each.letters_with("keep") for each in form.asks] == ["B", "A B", "A B", ""]
    assert [each.letters_with("left_out") for each in form.asks] == ["B C D E", "", "", ""]
    assert [each.letters_with("question") for each in form.asks] == [Answer.QUESTION_BACK.value] * 4
    assert [each.takes_words for each in form.asks] == [False, False, False, True]
    assert form.minutes == 3
    assert speaker.say(form.need) == "We need 3 decisions and 1 answer in words from you"
