"""What people decide, held against the meanings of ISO 9000:2015, 3.12 (from memory, not read: the numbers too)."""

import pytest

from portal.model.answer import Concession, Disposition
from portal.model.says import ReleasedFor

NEEDS_THE_CUSTOMER = {
    # 3.12.5: permission to use or release what does not conform; 3.12.6 calls it a deviation permit before it is made
    Disposition.CONCESSION: True,
    # 3.12.4: another grade, so that it conforms to requirements that differ from the initial ones
    Disposition.REGRADE: True,
    # 3.12.9: acceptable for the intended use, and still not conforming: it needs a concession beside it
    Disposition.REPAIR: True,
    # 3.12.8: makes it conform to the requirements
    Disposition.REWORK: False,
    # 3.12.10: keeps it from its originally intended use
    Disposition.SCRAP: False,
}


@pytest.mark.parametrize("word", NEEDS_THE_CUSTOMER)
def test_what_leaves_a_piece_nonconforming_in_use_is_not_the_shops_to_decide(word: Disposition) -> None:
    """What makes it conform, or keeps it from use, the shop may decide alone."""
    assert word.is_for_the_shop() != NEEDS_THE_CUSTOMER[word]


@pytest.mark.parametrize("word", NEEDS_THE_CUSTOMER)
def test_each_of_them_says_what_becomes_of_the_piece(word: Disposition) -> None:
    """Unlike a bare no, after which that is still to be said."""
    assert word.is_final()
    assert not Disposition.NOT_ACCEPTED.is_final()


def test_a_concession_is_limited_and_says_by_what() -> None:
    """3.12.5, note: generally limited to what does not conform, for an agreed quantity or time, and for a use."""
    unlimited = Concession(justification="hidden", reference="DEV-118")
    assert unlimited.missing() == ("scope",)
    assert Concession(justification="hidden", reference="DEV-118", quantity="500").missing() == ()
    assert Concession(justification="hidden", reference="DEV-118", until="2026-05-01").missing() == ()


def test_a_release_names_the_next_stage() -> None:
    """3.12.7: permission to proceed to the next stage of a process; never a word of fitness."""
    assert {str(each) for each in ReleasedFor} == {"next trial", "samples", "production"}
