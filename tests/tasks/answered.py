"""A catalogue from which a review was sent and answered in part, and its site."""

import shutil
from datetime import date
from pathlib import Path

from portal.tasks.build import Built, build
from tests.tasks.judged import ENGINEER, MAY_ALL, PART, opened
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.sent import MAIL
from tests.tasks.test_build import aged
from tests.tasks.typed import typed

DAY = date(2026, 3, 1)
LIVE = f"parts/{PART}/M-001-T1.html"


def answered_catalogue(folder: Path) -> Path:
    """Question 1 is answered B, 2 is asked back, 3 was decided by telephone, a line is unclear."""
    ready_catalogue(folder)
    assert pack(folder).code == 0
    reply(folder, "1 B because it can be felt\n2 ? Which shot was it\n? Which resin was it\n3 fine with me")
    (review,) = opened(folder).state.reviews.values()
    words = ("--letter", "B", "--decided-by", MAY_ALL, "--how", "telephone", "--when", "2026-02-27", "--by", ENGINEER)
    assert typed("record", folder, "--part", PART, "--ask", review.asks[2], *words).code == 0
    aged(folder)
    return folder


def copied(folder: Path, to: Path) -> Path:
    """A copy for one test."""
    shutil.copytree(folder, to)
    return to


def reply(folder: Path, text: str) -> None:
    """Take in a reply to the only review."""
    (review,) = opened(folder).state.reviews.values()
    path = folder.parent / "reply.txt"
    path.write_text(f"From: {MAY_ALL} <{MAIL}>\nSubject: [{review.code}]\n\n{text}\n", encoding="utf-8")
    came = typed("receive", folder, path, "--by", ENGINEER)
    assert came.code == 0, came.out + came.err


def built(folder: Path, audience: str = "shop", out: Path | None = None) -> Built:
    """Build in this process, as of a fixed day."""
    return build(folder, out=out, as_of=DAY, processes=1, audience=audience)


def page(out: Path, path: str) -> str:
    """A page as text."""
    return (out / path).read_text(encoding="utf-8")


def sent_path(folder: Path) -> str:
    """Where the page of the only review lies in the site."""
    (store,) = (folder / "parts" / PART / "reviews").glob("T1-*")
    return f"parts/{PART}/reviews/{store.name}/index.html"
