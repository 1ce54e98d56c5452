"""The collector of cycles stands still while what stays is made, and goes on as it was."""

import gc
import weakref

import pytest

from portal.pause import collection_of_new, no_collection


class Ring:
    """Something that holds itself."""

    def __init__(self) -> None:
        self.own = self


def test_within_a_pause_only_what_is_new_is_looked_through() -> None:
    """A ring that was there stays until the pause is over, one that was made since is taken away."""
    before, after = Ring(), Ring()
    with no_collection():
        assert not gc.isenabled()
        old = weakref.ref(before)
        del before
        with collection_of_new():
            assert gc.isenabled() and gc.get_freeze_count() > 0
            new = weakref.ref(ring := Ring())
            del ring
            gc.collect()
            assert new() is None and old() is not None
        assert not gc.isenabled() and gc.get_freeze_count() == 0
    assert gc.isenabled() and after.own is after
    gc.collect()
    assert old() is None


def test_the_collector_is_on_again_after_something_went_wrong() -> None:
    """So that a program that goes on doesn't grow."""
    with pytest.raises(ValueError, match="wrong"), no_collection(), collection_of_new():
        raise ValueError("wrong")
    assert gc.isenabled() and gc.get_freeze_count() == 0
