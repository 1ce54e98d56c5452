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
from importlib import import_module
from pathlib import Path

from portal.cli import main as run_portal
from portal.log import read

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
    modules = [import_module(name) for name in CLOCKS]
    before = [vars(each)["datetime"] for each in modules]
    try:
        for each in modules:
            vars(each)["datetime"] = Then
        yield
    finally:
        for each, kept in zip(modules, before, strict=True):
            vars(each)["datetime"] = kept


def at(text: str) -> None:
    """It is then, in UTC."""
    Then.moment = datetime.fromisoformat(text).replace(tzinfo=UTC)


def act(*words: str | Path) -> None:
    """A command; the story ends where it is refused."""
    try:
        run_portal([str(word) for word in words])
    except SystemExit as ended:
        if ended.code:
            raise


def closed(catalog: Path, mails: Path) -> None:
    """The cap of the gear: everything answered, decided and entered, the trial released for the next one."""
    part = ("--part", "MC-0313", "--by", "m-vasquell")
    trial = ("--trial", "M-131/T1")
    at("2026-03-11T09:05")
    act("ask", catalog, *part, *trial, "--proposed", "--due", "2026-03-18")
    act("pack", catalog, *part, *trial)
    at("2026-03-13T07:52")
    answers = "1 B comment it is seen when the cap is on\n2 A limit 1.0 mm long condition at 20x, ring light from now"
    act("receive", catalog, mail(catalog, mails, "MC-0313", "K. Ammerlund", answers), "--by", "t-orlevin")
    at("2026-03-16T09:30")
    findings = [word for each in ("8S1G", "8S1E", "8S1C", "8S1J", "8S1K") for word in ("--finding", each)]
    why = "the core is polished and the draft opened before the next trial"
    act("record", catalog, *part, "--shop", "--disposition", "mould correction", *findings, "--why", why)
    received = newest(catalog, "MC-0313", "answers-received")
    act("close", catalog, *part, "--closes", received, "--why", "entered as a criterion of technical-small, revision 2")
    at("2026-03-17T13:20")
    came = ("--granted-by", "J. Oostervald", "--how", "telephone", "--when", "2026-03-17")
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
    """The micro gear after polishing: sent, and nobody has answered yet."""
    part = ("--part", "MG-0312", "--by", "m-vasquell")
    trial = ("--trial", "M-131/T2")
    at("2026-03-25T08:40")
    act("ask", catalog, *part, *trial, "--proposed", "--due", "2026-03-31")
    act("pack", catalog, *part, *trial)


def newest(catalog: Path, part: str, kind: str) -> str:
    """The newest event of a kind."""
    return [each.hash for each in read(catalog, part).events if each.event.kind == kind][-1]


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
