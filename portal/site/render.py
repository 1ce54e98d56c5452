"""Page records into bytes, one page at a time, the front page last."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from portal.model.picture import PictureUnreadable
from portal.model.result import TrialResult
from portal.pictures.derive import Derived
from portal.site.address import CONTENTS, FRONT, SEARCH
from portal.site.closedout import record_pages
from portal.site.contents import contents_of
from portal.site.defect import defect_page
from portal.site.desk import Desk, desk_for
from portal.site.front import front_of, unread_trials
from portal.site.index import index_of
from portal.site.inputs import Page, SiteInput
from portal.site.part import part_page
from portal.site.picture import picture_page
from portal.site.review import marking, review_of
from portal.site.sample import sample_page
from portal.site.scope import scope_page
from portal.site.sentpage import sent_pages
from portal.site.standard import standard_marking, standard_page
from portal.site.static import CSP, SCRIPT, SEARCH_SCRIPT, STYLE, static_path
from portal.site.typeset import typeset
from portal.site.unread import unread_page


def render(
    site: SiteInput,
    derived: Mapping[str, tuple[Derived, ...]],
    unreadable: Mapping[str, PictureUnreadable],
    unplayable: Mapping[str, PictureUnreadable] = MappingProxyType({}),
) -> Iterator[Page]:
    """Every page of the site; the front page comes last."""
    desk = desk_for(site, derived, unreadable, unplayable)
    yield from _pictures(desk)
    yield from _unread(desk)
    for result in site.results:
        yield review_page(desk, result)
    yield from sent_pages(desk)
    yield from record_pages(desk)
    for part in site.catalogue.parts.values():
        path = desk.addresses.part(part.id)
        yield _page(desk, path, "part", part_page(desk, part), customer=part.customer)
    yield from _reference(desk)
    yield _page(desk, FRONT, "front", front_of(desk))


def review_page(desk: Desk, result: TrialResult) -> Page:
    """The page of a part in a trial."""
    path = desk.addresses.review(result.part.id, result.mould, result.trial)
    return _page(desk, path, "review", review_of(desk, result), customer=result.part.customer)


def _pictures(desk: Desk) -> Iterator[Page]:
    for file, (mould, trial, picture) in desk.pictures.items():
        part = desk.site.catalogue.part_of(mould, picture.tag.cavity if picture.tag else None)
        known = desk.site.catalogue.parts.get(part or "")
        line = marking(desk, known.customer) if known else desk.site.catalogue.shop.marking or ""
        path = desk.addresses.picture(file)
        if path:
            page = picture_page(desk, picture, mould, trial, line)
            yield _page(desk, path, "picture", page, customer=known.customer if known else None)


def _reference(desk: Desk) -> Iterator[Page]:
    """The catalogue as a work of reference: classes, standards, limit samples, microscopes, contents, index."""
    catalogue = desk.site.catalogue
    for defect in catalogue.defects.values():
        yield from _record(desk, "defect", defect.id, defect_page(desk, defect))
    for name, known in catalogue.standards.items():
        for revision, standard in known.items():
            page = standard_page(desk, standard, standard_marking(desk, standard.owner))
            yield from _record(desk, "standard", f"{name}/{revision}", page, customer=standard.owner)
    for sample in catalogue.limit_samples.values():
        part = catalogue.parts.get(sample.part)
        line = marking(desk, part.customer) if part else catalogue.shop.marking or ""
        yield from _record(
            desk, "limit sample", sample.id, sample_page(desk, sample, line), customer=part.customer if part else None
        )
    for scope in catalogue.scopes.values():
        yield from _record(desk, "scope", scope.id, scope_page(desk, scope))
    yield _page(desk, CONTENTS, "contents", contents_of(desk))
    yield _page(desk, SEARCH, "search", index_of(desk))


def _record(desk: Desk, kind: str, name: str, page: object, *, customer: str | None = None) -> Iterator[Page]:
    path = desk.addresses.record(kind, name)
    if path:
        yield _page(desk, path, kind.rpartition(" ")[2], page, customer=customer)


def _unread(desk: Desk) -> Iterator[Page]:
    for kind, name in desk.site.catalogue.broken:
        path = desk.addresses.part(name) if kind == "part" else desk.addresses.record(kind, name)
        if path:
            yield _page(desk, path, "unread", unread_page(desk, kind, name))
    for part in desk.site.catalogue.parts.values():
        for mould, trial, _ in unread_trials(desk, part.id):
            page = unread_page(desk, "trial", f"{mould}/{trial}")
            yield _page(desk, desk.addresses.review(part.id, mould, trial), "unread", page)


def _page(desk: Desk, path: str, template: str, page: object, *, customer: str | None = None) -> Page:
    body = typeset(
        template,
        desk.speaker(customer),
        here=path,
        page=page,
        csp=CSP,
        front=FRONT,
        contents=CONTENTS,
        search=SEARCH,
        style=static_path(STYLE),
        script=static_path(SCRIPT),
        search_script=static_path(SEARCH_SCRIPT),
        shop=desk.site.catalogue.shop.shop.name,
        as_of=desk.site.as_of,
        version=desk.site.version,
    )
    return Page(path, body)
