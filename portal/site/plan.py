"""Which derived pictures the pages need."""

from collections.abc import Iterator

from portal.model.narrow import kin
from portal.pictures.derive import Want
from portal.site.apart import Apart
from portal.site.card import is_compact
from portal.site.defect import defect_wants
from portal.site.desk import Desk, desk_for
from portal.site.hints import hint_wants
from portal.site.inputs import SiteInput
from portal.site.picture import picture_wants
from portal.site.review import loose_files
from portal.site.sample import sample_wants
from portal.site.sentlines import sent_wants
from portal.site.sheet import sheet_wants
from portal.site.sights import card_cuts, smaller_of, thumb_want, wants_of
from portal.site.zonemap import map_want, reference_file


def plan(site: SiteInput, *, skip: frozenset[str] = frozenset()) -> dict[str, tuple[Want, ...]]:
    """The derived pictures that the pages need, by picture; each once, in a settled order.

    The pages of the parts to `skip` hold as they are.
    """
    desk = desk_for(site)
    found: dict[str, dict[Want, None]] = {}
    for file, want in _wants(desk, skip):
        found.setdefault(file, {})[want] = None
    return {file: tuple(sorted(wants, key=repr)) for file, wants in found.items()}


def _wants(desk: Desk, skip: frozenset[str]) -> Iterator[tuple[str, Want]]:
    apart = Apart(desk)
    for parts in kin(desk.site.catalogue):
        if not parts <= skip:
            yield from _part_wants(apart.of_parts(parts))
    yield from _part_wants(apart.of_strays())
    for defect in desk.site.catalogue.defects.values():
        yield from defect_wants(desk, defect)
    for sample in desk.site.catalogue.limit_samples.values():
        yield from sample_wants(desk, sample)


def _part_wants(desk: Desk) -> Iterator[tuple[str, Want]]:
    for file, (_, _, picture) in desk.pictures.items():
        yield from picture_wants(desk, file)
        yield from hint_wants(desk, picture)
    for part in desk.site.catalogue.parts.values():
        for view in part.views:
            file_ = reference_file(part, view)
            want = map_want(desk, file_) if file_ else None
            if file_ and want:
                yield file_, want
    yield from sent_wants(desk)
    for result in desk.site.results:
        yield from sheet_wants(desk, result)
        for file in loose_files(desk, result):
            small = thumb_want(desk, file)
            if small:
                yield file, small
        for assessment in result.assessments:
            cuts = card_cuts(desk, assessment, result.part, compact=is_compact(assessment))
            yield from wants_of(cuts)
            yield from smaller_of(cuts)
