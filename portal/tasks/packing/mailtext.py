"""The text of the mail in which a review went out, made again from its store."""

from pathlib import Path

from portal.model.event import Logged
from portal.problem import PortalError
from portal.site.mailed import mail_text
from portal.tasks.packing.readstore import read_store, sent_of


def mail_again(folder: Path, logged: Logged) -> str | None:
    """The whole text; None where the store can't be read."""
    try:
        shown = read_store(folder)
        return mail_text(shown, sent_of(logged, (), time_zone=shown.time_zone))
    except (PortalError, TypeError):
        return None
