"""Names that are good as a page's address and as a file's name on every system."""

import hashlib
import re
import unicodedata
from collections import Counter
from collections.abc import Iterable
from functools import lru_cache

_SLUG = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com[0-9]|lpt[0-9])(?:\.|$)", re.IGNORECASE)
_LONGEST = 60
_LONGEST_AS_IT_IS = 120
"""Letters of a name that can stand as it is: with an ending, in a folder, within what every system takes."""


def is_slug(name: str) -> bool:
    """Whether a name can stand as it is: plain letters, digits, `.`, `_`, `-`, not long, and allowed on Windows."""
    fits = len(name) <= _LONGEST_AS_IT_IS and _SLUG.fullmatch(name)
    return bool(fits) and not name.endswith(".") and not _RESERVED.match(name)


def slug(name: str) -> str:
    """The name itself where it is a slug, else its ASCII form and six hex digits of its NFC form's SHA-256."""
    if is_slug(name):
        return name
    composed = unicodedata.normalize("NFC", name)
    return f"{_plain(composed)}-{_mark(composed)}"


def slugs(names: Iterable[str]) -> dict[str, str]:
    """The slug of each name; names whose slugs Windows or macOS can't tell apart have a mark of their own behind it."""
    plain = {name: slug(name) for name in names}
    taken = Counter(same_name(each) for each in plain.values())
    return {name: each if taken[same_name(each)] == 1 else f"{each}-{_mark(name)}" for name, each in plain.items()}


def same_name(name: str) -> str:
    """What two names share that no file system of Windows or macOS can tell apart."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def _mark(name: str) -> str:
    return hashlib.sha256(name.encode("utf-8", "surrogatepass")).hexdigest()[:6]


def _plain(name: str) -> str:
    ascii_only = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    plain = re.sub(r"[^A-Za-z0-9._]+", "-", ascii_only).strip("-._")[:_LONGEST].rstrip("-._") or "x"
    return plain.replace(".", "-") if _RESERVED.match(plain) else plain


@lru_cache(maxsize=10_000)  # folders of thousands of files are sorted again and again while somebody works
def natural(name: str) -> str:
    """The key that sorts names as a person counts: `c2` before `c10`; one text, for thousands of them are held."""
    words = re.split(r"([0-9]+)", same_name(name))
    return "".join(_counted(word) if number % 2 else f"{word}\0" for number, word in enumerate(words)) + f"\0{name}"


def _counted(digits: str) -> str:
    """A number by its size, however long it is: more digits first, then digit by digit; after where a name ends."""
    plain = digits.lstrip("0")
    return chr(min(len(plain) + 1, 0xD7FF)) + plain
