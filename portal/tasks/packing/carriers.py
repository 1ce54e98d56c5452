"""The carriers of a sent review: each is enough by itself, and can be made again from the store and the event."""

import contextlib
from collections.abc import Iterator, Mapping
from datetime import UTC, datetime
from pathlib import Path

from portal.catalog.write import write_whole
from portal.model.event import Logged, check_code
from portal.model.says import ReviewSent
from portal.model.shown import Shown
from portal.site.mailed import mail, mail_text
from portal.site.onefile import one_file
from portal.site.pdf import pdf_of
from portal.tasks.packing.shelf import CARRIERS, pictures_of, read_store, sent_of
from portal.tasks.packing.zipped import Carrier, zipped


def carriers(shown: Shown, pictures: Mapping[str, Path], logged: Logged, *, small: bool = False) -> Iterator[Carrier]:
    """Every carrier of a review: mail, PDF, the one file to answer in, zip; on demand a smaller file to answer in."""
    says = logged.event.says
    addresses = tuple(each.mail for each in says.to if each.mail) if isinstance(says, ReviewSent) else ()
    sent = sent_of(logged, (logged.hash,))
    stem = f"review-{sent.number}-{check_code(sent.digest)}"
    at = datetime.strptime(logged.event.at, "%Y-%m-%dT%H:%M:%S.%fZ").replace(tzinfo=UTC)
    text = mail_text(shown, sent).encode("utf-8")
    made = [
        Carrier(f"{stem}.txt", text),
        Carrier(f"{stem}.eml", mail(shown, sent, addresses=addresses, sent_at=at)),
        Carrier(f"{stem}.pdf", pdf_of(shown, pictures, sent, at=at)),
        Carrier(f"{stem}.html", one_file(shown, pictures, sent=sent)),
    ]
    yield from made
    yield Carrier(f"{stem}.zip", zipped(shown, pictures, made, at=at))
    if small:
        yield Carrier(f"{stem}-small.html", one_file(shown, pictures, sent=sent, small=True))


def write_carriers(folder: Path, logged: Logged, *, small: bool = False) -> tuple[Path, ...]:
    """Write all carriers of a stored review; what lay there from elsewhere is left alone."""
    shown = read_store(folder)
    out = folder / CARRIERS
    out.mkdir(exist_ok=True)
    found = []
    for each in carriers(shown, pictures_of(folder, shown), logged, small=small):
        path = out / each.name
        with contextlib.suppress(FileNotFoundError):
            if path.read_bytes() == each.content:
                found.append(path)
                continue
        write_whole(path, each.content)
        found.append(path)
    return tuple(found)
