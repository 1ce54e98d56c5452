"""The carriers of a sent review: each is enough by itself, and can be made again from the store and the event."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path

from portal.catalog.write import write_whole
from portal.model.event import Logged, check_code
from portal.model.says import ReviewSent
from portal.model.shown import Sent, Shown
from portal.site.mailed import mail, mail_text
from portal.site.onefile import EXTRACTED, held_by, one_file
from portal.tasks.packing.readstore import pictures_of, read_store, sent_of
from portal.tasks.packing.shelf import CARRIERS
from portal.tasks.packing.zipped import Carrier, zipped

ENDINGS, SMALL = (".txt", ".eml", ".pdf", ".html", ".zip"), "-small.html"


@dataclass(frozen=True)
class _Making:
    """A review with the event that it was sent, ready to be written in any form."""

    shown: Shown
    pictures: Mapping[str, Path]
    sent: Sent
    addresses: tuple[str, ...]
    at: datetime

    @cached_property
    def held(self) -> Mapping[str, str]:
        """The pictures that the page to answer in holds: made small once, for the page by itself and in the zip."""
        return held_by(self.shown, self.pictures)

    def of(self, ending: str, rest: Sequence[Carrier]) -> bytes:
        """One carrier; `rest` are those that go into the zip."""
        match ending:
            case ".txt":
                return mail_text(self.shown, self.sent).encode("utf-8")
            case ".eml":
                return mail(self.shown, self.sent, addresses=self.addresses, sent_at=self.at)
            case ".pdf":
                from portal.site.pdf import pdf_of  # loads long, and not needed where the PDF is there

                return pdf_of(self.shown, self.pictures, self.sent, at=self.at)
            case ".zip":
                return zipped(self.shown, self.pictures, tuple(self.in_folder(rest)), at=self.at)
            case _:
                held = held_by(self.shown, self.pictures, small=True) if ending == SMALL else self.held
                return one_file(self.shown, held, sent=self.sent)

    def in_folder(self, rest: Sequence[Carrier]) -> Iterator[Carrier]:
        """The same carriers as they lie in the zip: the page to answer in tells whether it was extracted."""
        for each in rest:
            is_page = each.name.endswith(".html")
            page = one_file(self.shown, self.held, sent=self.sent, in_folder=True) if is_page else each.content
            yield Carrier(each.name, page)
        yield Carrier(*EXTRACTED)


def write_carriers(folder: Path, logged: Logged, *, small: bool = False) -> tuple[Path, ...]:
    """Write every carrier of a stored review that isn't there; what went out stays as it is.

    Mail, PDF, the one file to answer in, a zip of them with the full pictures; on demand a smaller file to answer in.
    """
    shown = read_store(folder)
    making = _making(folder, shown, logged)
    stem = f"review-{making.sent.number}-{check_code(making.sent.digest)}"
    out = folder / CARRIERS
    out.mkdir(exist_ok=True)
    written: list[Carrier] = []
    for ending in (*ENDINGS, *((SMALL,) if small else ())):
        path = out / f"{stem}{ending}"
        try:
            content = path.read_bytes()
        except FileNotFoundError:
            content = making.of(ending, written)
            write_whole(path, content)
        written.append(Carrier(path.name, content))
    return tuple(out / each.name for each in written)


def _making(folder: Path, shown: Shown, logged: Logged) -> _Making:
    says = logged.event.says
    to = says.to if isinstance(says, ReviewSent) else ()
    return _Making(
        shown=shown,
        pictures=pictures_of(folder, shown),
        sent=sent_of(logged, (logged.hash,), time_zone=shown.time_zone),
        addresses=tuple(each.mail for each in to if each.mail),
        at=datetime.strptime(logged.event.at, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC),
    )
