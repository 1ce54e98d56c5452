"""The only place that hashes a record."""

import hashlib
from typing import Any

import rfc8785


def canonical(data: Any) -> bytes:
    """The RFC 8785 form of plain data: strings, numbers, booleans, lists, mappings with string keys."""
    return rfc8785.dumps(data)


def digest(data: Any) -> str:
    """SHA-256 over the canonical form, in hexadecimal."""
    return hashlib.sha256(canonical(data)).hexdigest()
