"""The form of an event's file: its name, its bytes, its hash."""

import hashlib
import json
import re
from typing import Any, NoReturn

from portal.model.digest import canonical

NAME = re.compile(r"(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d\.\d{6}Z)-([0-9a-f]{64})\.json")
LARGEST = 4_000_000
"""An event is text that people wrote; more bytes than this are something else."""
_LONG_NUMBER = re.compile(rb"[:\[,]-?[0-9]{16}")
_BEYOND_PLANE_0 = re.compile(rb"[\xf0-\xf7]")


class NotCanonical(ValueError):
    """Bytes that are no RFC 8785 form, and why."""


def hash_of(content: bytes) -> str:
    """The SHA-256 of a file's bytes, in hexadecimal."""
    return hashlib.sha256(content).hexdigest()


def at_of(name: str) -> tuple[str, str] | None:
    """The time and the hash that a file's name tells; None where it is no event's name."""
    match = NAME.fullmatch(name)
    if match is None:
        return None
    year, month, day, hour, minute, second, hash_ = match.groups()
    return f"{year}-{month}-{day}T{hour}:{minute}:{second}", hash_


def loads(content: bytes) -> Any:
    """Plain data of JSON bytes; ValueError where they are none."""
    try:
        return _PLAIN.decode(content.decode("utf-8"))
    except RecursionError:
        raise ValueError("nested too deep") from None


def loads_canonical(content: bytes) -> Any:
    """Plain data of bytes that are exactly its RFC 8785 form; NotCanonical (or ValueError) where they aren't.

    The standard library's encoder gives the same bytes for text, short whole numbers and keys of plane 0, and is
    fifteen times as fast; what it can't be trusted with goes the slow way.
    """
    try:
        data = _WITHOUT_FRACTIONS.decode(content.decode("utf-8"))
    except (_Fraction, RecursionError):
        data = loads(content)
    else:
        if not (_LONG_NUMBER.search(content) or (not content.isascii() and _BEYOND_PLANE_0.search(content))):
            if _encode(data) != content:
                raise NotCanonical("not in the form of RFC 8785")
            return data
    try:
        same = canonical(data) == content
    except (ValueError, RecursionError):
        same = False
    if not same:
        raise NotCanonical("not in the form of RFC 8785")
    return data


def _encode(data: Any) -> bytes:
    try:
        return _ENCODER.encode(data).encode("utf-8")
    except (UnicodeEncodeError, RecursionError):
        raise NotCanonical("not in the form of RFC 8785") from None


class _Fraction(Exception):
    """A number that isn't whole."""


def _stop(text: str) -> NoReturn:
    raise _Fraction(text)


def _no_constant(text: str) -> NoReturn:
    raise ValueError(f"`{text}` is no number of JSON")


_PLAIN = json.JSONDecoder(parse_constant=_no_constant)
_WITHOUT_FRACTIONS = json.JSONDecoder(parse_float=_stop, parse_constant=_no_constant)
_ENCODER = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), sort_keys=True, check_circular=False)
