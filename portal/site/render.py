"""Page records into bytes, one page at a time, the front page last."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

from portal.model.narrow import kin
from portal.model.picture import PictureUnreadable
from portal.pictures.derive import Derived, Want
from portal.site.address import CONTENTS, FRONT, SEARCH
from portal.site.apart import Apart
from portal.site.contents import contents_of
from portal.site.defect import defect_page
from portal.site.desk import Desk, desk_for
from portal.site.front import front_of, unread_trials
from portal.site.index import index_of
from portal.site.inputs import Page, SiteInput
from portal.site.leaf import leaf
from portal.site.partpages import part_pages, stray_pages
from portal.site.reuse import Reuse
from portal.site.review import marking
from portal.site.sample import sample_page
from portal.site.scope import scope_page
from portal.site.standard import standard_marking, standard_page
from portal.site.unread import unread_page


def render(
    site: SiteInput,
    derived: Mapping[str, Mapping[Want, Derived]],
    unreadable: Mapping[str, PictureUnreadable],
    unplayable: Mapping[str, PictureUnreadable] = MappingProxyType({}),
    *,
    reuse: Reuse | None = None,
    aside: Path | None = None,
) -> Iterator[Page]:
    """Every page of the site, but for those that still hold; the front page comes last.

    Long ones come as files in the folder `aside`, where that is given.
    """
    reuse = reuse or Reuse()
    desk = desk_for(site, derived, unreadable, unplayable, aside)
    apart = Apart(desk)
    for parts in kin(site.catalogue):
        if not parts <= reuse.parts:
            yield from (replace(page, parts=parts) for page in part_pages(apart, parts, reuse))
    yield from stray_pages(apart)
    yield from _unread(desk)
    yield from _reference(desk)
    yield leaf(desk, FRONT, "front", front_of(desk))


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
    yield leaf(desk, CONTENTS, "contents", contents_of(desk))
    yield leaf(desk, SEARCH, "search", index_of(desk))


def _record(desk: Desk, kind: str, name: str, page: object, *, customer: str | None = None) -> Iterator[Page]:
    path = desk.addresses.record(kind, name)
    if path:
        yield leaf(desk, path, kind.rpartition(" ")[2], page, customer=customer)


def _unread(desk: Desk) -> Iterator[Page]:
    for kind, name in desk.site.catalogue.broken:
        path = desk.addresses.part(name) if kind == "part" else desk.addresses.record(kind, name)
        if path:
            yield leaf(desk, path, "unread", unread_page(desk, kind, name))
    for part in desk.site.catalogue.parts.values():
        for mould, trial, _ in unread_trials(desk, part.id):
            page = unread_page(desk, "trial", f"{mould}/{trial}")
            yield leaf(desk, desk.addresses.review(part.id, mould, trial), "unread", page)
