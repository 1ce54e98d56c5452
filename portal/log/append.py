"""Appending an event: durable when the call returns; no lock, as every writer adds a file of its own."""

from collections.abc import Callable
from datetime import UTC, datetime

from portal.log.files import create, make_folder
from portal.log.form import hash_of
from portal.log.read import Log
from portal.model.digest import canonical
from portal.model.event import FORMAT, About, Event, Logged, Via, at_text, file_name
from portal.model.says import Party, Says
from portal.problem import PortalError


def append(
    log: Log,
    says: Says,
    *,
    about: About,
    by: Party,
    via: Via = Via.COMMAND,
    clock: Callable[[], datetime] = lambda: datetime.now(UTC),
) -> Logged:
    """Write an event that comes after all that was read of the log; the log then knows it."""
    if says.kind is None:
        raise TypeError("an unknown event is only ever read")
    event = Event(
        format=FORMAT,
        at=at_text(clock()),
        kind=str(says.kind),
        part=log.part,
        about=about,
        by=by,
        via=via,
        after=log.heads,
        says=says,
    )
    try:
        content = canonical(event.given())
    except ValueError as error:
        raise PortalError(f"this text can't be written down: {error}", hint="leave out what isn't Unicode") from None
    logged = Logged(hash_of(content), event)
    make_folder(log.folder)
    path = log.folder / file_name(event.at, logged.hash)
    if not create(path, content) and path.read_bytes() != content:
        raise PortalError(f"{path} is there and isn't what it was", hint="put that file back from a copy")
    log.add(logged)
    return logged
