"""One page's record laid out by its template, with what every page of the site has on it."""

from portal.site.address import CONTENTS, FRONT, SEARCH
from portal.site.desk import Desk, desk_for
from portal.site.inputs import Page, SiteInput
from portal.site.static import CSP, statics
from portal.site.typeset import Place, typeset, typeset_in_parts


def leaf(
    desk: Desk,
    path: str,
    template: str,
    page: object,
    *,
    customer: str | None = None,
    places: list[Place] | None = None,
) -> Page:
    """A page of the site, in the words and the unit of that customer; `places` takes those of its parts."""
    paper, parts = typeset_in_parts(
        template,
        desk.speaker(customer),
        here=path,
        aside=desk.aside,
        page=page,
        csp=CSP,
        front=FRONT,
        contents=CONTENTS,
        search=SEARCH,
        shop=desk.site.catalogue.shop.shop.name,
        as_of=desk.site.as_of,
        version=desk.site.version,
        **statics(),
    )
    if places is not None:
        places.extend(parts)
    return Page(path, paper)


def coming(site: SiteInput) -> bytes:
    """What stands where a page will be, until the site is written: it names nothing."""
    return typeset("coming", desk_for(site).speaker(), here="")
