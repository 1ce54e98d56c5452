"""What beside the pixels of a PNG may be as large as it likes: it is left out before anything unpacks it."""

import zlib
from pathlib import Path

import numpy as np
import pytest

from portal.model.say import Say
from portal.pictures.derive import Whole
from tests.pictures.make import chunk, derived, png, seen

LARGE = zlib.compress(bytes(8_000_000), 9)
"""Eight megabytes in a few thousand bytes."""

TEXTS = {
    "packed text": chunk(b"zTXt", b"Comment\0\0" + LARGE),
    "packed text of any language": chunk(b"iTXt", b"Comment\0\1\0\0\0" + LARGE),
    "plain text": chunk(b"tEXt", b"Comment\0" + b"x" * 2_000_000),
}


def grey(extra: bytes) -> bytes:
    """A picture of one middle grey with something beside its pixels."""
    return png(np.full((8, 12), 0x8080, np.uint16), extra=extra)


@pytest.mark.parametrize("extra", TEXTS.values(), ids=TEXTS)
def test_a_picture_with_a_text_that_would_fill_the_memory_is_shown(extra: bytes, tmp_path: Path) -> None:
    """The text is never looked at, so the picture is as good as without it."""
    assert np.asarray(seen(tmp_path, grey(extra)).image)[0, 0] == 128
    assert derived(tmp_path, grey(extra), Whole())[0].width == 12


def test_a_profile_that_would_fill_the_memory_is_left_out_and_told(tmp_path: Path) -> None:
    """Its colours are taken as sRGB, and the page says so."""
    found = seen(tmp_path, grey(chunk(b"iCCP", b"huge\0\0" + LARGE)))
    assert np.asarray(found.image)[0, 0] == 128
    assert Say.of("picture.colour.profile_unusable") in found.notes
