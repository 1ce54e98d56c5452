"""No garbage collection while hundreds of thousands of records are made: none of them is garbage."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def no_collection() -> Iterator[None]:
    """Pause the collector of cycles; it would look through all records again and again, and find nothing."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


@contextmanager
def collection_of_new() -> Iterator[None]:
    """Within such a pause: the collector looks through what is made from now on, and nothing that is there already."""
    gc.freeze()
    gc.enable()
    try:
        yield
    finally:
        gc.disable()
        gc.unfreeze()
