"""What came of the sample's reviews: sent, answered, closed; written with the program's own commands, on days of then.

    python -m render.story CATALOG

Unlike the rest of this folder it needs the program. It adds to the logs of a catalogue that has none, and writes the
reviews that went out; their `carriers/` can be made again and are thrown away.
"""

import shutil
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta, tzinfo
from pathlib import Path

import portal.log.append
import portal.tasks.opened
from portal.cli import main as portal

CLOCKS = ("portal.log.append", "portal.tasks.opened")


class Then(datetime):
    """A clock that somebody sets; each look at it takes some seconds."""

    moment = datetime(2026, 1, 1, tzinfo=UTC)

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> "Then":
        """The moment that was set, and a little later each time."""
        Then.moment += timedelta(seconds=7, microseconds=413_207)
        return cls.fromtimestamp(Then.moment.timestamp(), tz)


@contextmanager
def clock() -> Iterator[None]:
    """The program's clock is ours."""
    before = {name: vars(sys.modules[name])["datetime"] for name in CLOCKS}
    try:
        for name in CLOCKS:
            vars(sys.modules[name])["datetime"] = Then
        yield
    finally:
        for name, kept in before.items():
            vars(sys.modules[name])["datetime"] = kept


def at(text: str) -> None:
    """It is then, in UTC."""
    Then.moment = datetime.fromisoformat(text).replace(tzinfo=UTC)


def act(*words: str | Path) -> None:
    """A command; the story ends where it is refused."""
    try:
        portal([str(word) for word in words])
    except SystemExit as ended:
        if ended.code:
            raise


def closed(catalog: Path, mails: Path) -> None:
    """The first trial of the lens collar: everything answered, decided, released for the next trial."""
    part = ("--part", "LC-0440", "--by", "m-vasquell")
    trial = ("--trial", "M-118/T1")
    at("2026-02-13T15:45")
    act("ask", catalog, *part, *trial, "--proposed", "--due", "2026-02-18")
    act("pack", catalog, *part, *trial)
    at("2026-02-16T08:31")
    answers = "1 D\n2 D\n3 D\n4 D\n5 B comment the material has to be dried first"
    act("receive", catalog, mail(catalog, mails, "LC-0440", "K. Ammerlund", answers), "--by", "t-orlevin")
    at("2026-02-16T10:02")
    why = "material is dried for four hours before the next trial"
    act("record", catalog, *part, "--shop", "--disposition", "mould correction", "--finding", "4Q2K", "--why", why)
    at("2026-02-17T13:20")
    came = ("--granted-by", "J. Oostervald", "--how", "telephone", "--when", "2026-02-17")
    act("release", catalog, *part, *trial, "--for", "next trial", *came)


def answered(catalog: Path, mails: Path) -> None:
    """The micro gear: every question answered; evidence is still wanted, a limit has to be entered."""
    part = ("--part", "MG-0312", "--by", "m-vasquell")
    trial = ("--trial", "M-131/T1")
    at("2026-03-11T08:12")
    act("ask", catalog, *part, *trial, "--proposed", "--due", "2026-03-16")
    act("pack", catalog, *part, *trial)
    at("2026-03-12T14:44")
    answers = (
        "1 C qty 400 ref DEV-118 because hidden once the cap is on\n2 D\n3 D\n4 E side view\n"
        "5 A limit 1.2 mm long condition at 20x, ring light from now"
    )
    act("receive", catalog, mail(catalog, mails, "MG-0312", "K. Ammerlund", answers), "--by", "t-orlevin")
    at("2026-03-12T15:10")
    act("note", catalog, *part, "--finding", "8R1P", "--comment", "section of a second piece ordered", "--shared")


def sent(catalog: Path, _mails: Path) -> None:
    """The fluid connector: sent to two reviewers, in their language; nobody has answered yet."""
    part = ("--part", "FC-2210", "--by", "m-vasquell")
    trial = ("--trial", "M-126/T1")
    at("2026-02-25T09:05")
    act("ask", catalog, *part, *trial, "--proposed", "--due", "2026-03-04")
    act("pack", catalog, *part, *trial)


def mail(catalog: Path, mails: Path, part: str, who: str, answers: str) -> Path:
    """A plain reply to the part's newest review."""
    (shown,) = (catalog / "parts" / part / "reviews").glob("*/shown.json")
    code = shown.parent.name[-8:]
    address = f"{who.lower().replace('. ', '.')}@brindelaar.example"
    path = mails / f"{part}.eml"
    head = f"From: {who} <{address}>\nSubject: Re: Review {code}\nContent-Type: text/plain; charset=utf-8\n"
    path.write_text(f"{head}\n{answers}\n\nRegards\n{who}\n", encoding="utf-8")
    return path


def main() -> None:
    """Tell the whole story in one catalogue."""
    catalog = Path(sys.argv[1])
    with clock(), tempfile.TemporaryDirectory() as scratch:
        for chapter in (closed, answered, sent):
            chapter(catalog, Path(scratch))
    for carriers in catalog.glob("parts/*/reviews/*/carriers"):
        shutil.rmtree(carriers)


if __name__ == "__main__":
    main()
