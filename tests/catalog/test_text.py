"""Bytes to text: UTF-8 or a reason why not."""

import codecs

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from portal.catalog.text import LARGEST, Fault, decode


def fault(raw: bytes) -> Fault:
    """The fault of bytes that are no text."""
    found = decode(raw)
    assert isinstance(found, Fault)
    return found


def test_a_byte_order_mark_changes_nothing() -> None:
    """A file saved with the mark reads as the same file without it."""
    assert decode(codecs.BOM_UTF8 + "µm\n".encode()) == decode("µm\n".encode()) == "µm\n"


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_named(encoding: str) -> None:
    """With or without its mark, in either byte order."""
    assert "UTF-16" in fault("format: 1\nname: x\n".encode(encoding)).message


def test_utf_32_is_named() -> None:
    """Its little-endian mark begins as that of UTF-16."""
    assert "UTF-32" in fault("format: 1\n".encode("utf-32")).message


def test_a_windows_code_page_is_named_with_the_line_and_the_letter() -> None:
    """The person finds the letter again that was saved in another encoding."""
    found = fault("format: 1\nname: Größe\n".encode("cp1252"))
    assert found.line == 2
    assert "cp1252" in found.message and "`ö`" in found.message


def test_a_byte_of_no_encoding_is_named_by_its_number() -> None:
    """0x81 is no letter in Windows-1252 either."""
    assert "0x81" in fault(b"a: \x81\n").message


def test_a_nul_byte_is_named_with_its_line() -> None:
    """What a broken network write leaves behind."""
    assert fault(b"a: 1\nb: 2\nlong enough for no encoding\nc: \0\n").line == 4


def test_control_characters_are_refused() -> None:
    """An escape character could colour a terminal that prints the problem."""
    found = fault(b"a: 1\nb: \x1b[31m\n")
    assert (found.line, "U+001B" in found.message) == (2, True)


def test_a_file_over_the_limit_is_refused_in_a_sentence() -> None:
    """The sentence says how large it is and how large it may be."""
    found = fault(b"#" * (LARGEST + 1))
    assert f"{LARGEST:,}" in found.message


@settings(deadline=None)
@given(st.binary(max_size=200))
def test_no_bytes_raise(raw: bytes) -> None:
    """Any bytes are a text or a fault."""
    assert isinstance(decode(raw), str | Fault)


@settings(deadline=None)
@given(st.text(alphabet=st.characters(min_codepoint=0x20, max_codepoint=0x7E), min_size=1))
def test_plain_text_comes_back(text: str) -> None:
    """Nothing is changed on the way."""
    assert decode(text.encode()) == text
