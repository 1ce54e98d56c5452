"""A sent review as a page of the site, drawn from its store."""

from collections.abc import Mapping
from datetime import date

from portal.model.shown import Sent, Shown
from portal.site.address import CONTENTS, FRONT, SEARCH
from portal.site.inputs import Page
from portal.site.redrawn import redrawn, speaker_of
from portal.site.static import CSP, SCRIPT, STYLE, static_path
from portal.site.typeset import typeset


def sent_page(
    shown: Shown, pictures: Mapping[str, str], *, sent: Sent, path: str, part_page: str, as_of: date, version: str
) -> Page:
    """The page at that path; `pictures` are the addresses in the site of its kept pictures by SHA-256."""
    speaker = speaker_of(shown)
    body = typeset(
        "sentpage",
        speaker,
        here=path,
        page=redrawn(shown, sent, speaker, lambda sha: pictures[sha]),
        csp=CSP,
        front=FRONT,
        contents=CONTENTS,
        search=SEARCH,
        style=static_path(STYLE),
        script=static_path(SCRIPT),
        shop=shown.shop,
        part_page=part_page,
        as_of=as_of,
        version=version,
    )
    return Page(path, body)
