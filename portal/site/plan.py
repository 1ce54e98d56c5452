"""Which derived pictures the pages need."""

from collections.abc import Collection, Iterable, Iterator

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


def plan(site: SiteInput) -> dict[str, tuple[Want, ...]]:
    """The derived pictures that the pages need, by picture; each once, in a settled order."""
    return in_order((file, want) for _, file, want in wanted(site))


def in_order(wants: Iterable[tuple[str, Want]]) -> dict[str, tuple[Want, ...]]:
    """What is wanted of each picture; each once, in a settled order."""
    found: dict[str, dict[Want, None]] = {}
    for file, want in wants:
        found.setdefault(file, {})[want] = None
    return {file: tuple(sorted(wants, key=repr)) for file, wants in found.items()}


Wanted = tuple[str, str, Want]
"""The picture whose page or cards want it, nothing where the page of a trial or a record does; of which file; what."""


def wanted(
    site: SiteInput, *, skip: frozenset[str] = frozenset(), known: Collection[str] = frozenset()
) -> Iterator[Wanted]:
    """What each page and card wants.

    The pages of the parts to `skip` hold as they are; of the pictures `known` it is known what their pages and their
    findings' cards want.
    """
    desk = desk_for(site)
    apart = Apart(desk)
    for parts in kin(desk.site.catalogue):
        if not parts <= skip:
            yield from _part_wants(apart.of_parts(parts), known)
    yield from _part_wants(apart.of_strays(), known)
    for defect in desk.site.catalogue.defects.values():
        yield from _nobodys(defect_wants(desk, defect))
    for sample in desk.site.catalogue.limit_samples.values():
        yield from _nobodys(sample_wants(desk, sample))


def _part_wants(desk: Desk, known: Collection[str]) -> Iterator[Wanted]:
    for file, (_, _, picture) in desk.pictures.items():
        if file not in known:
            yield from _whose(file, picture_wants(desk, file))
            yield from _whose(file, hint_wants(desk, picture))
    for part in desk.site.catalogue.parts.values():
        for view in part.views:
            file_ = reference_file(part, view)
            want = map_want(desk, file_) if file_ else None
            if file_ and want:
                yield "", file_, want
    yield from _nobodys(sent_wants(desk))
    for result in desk.site.results:
        yield from _nobodys(sheet_wants(desk, result))
        for file in loose_files(desk, result):
            small = thumb_want(desk, file)
            if small:
                yield "", file, small
        for each in result.assessments:
            if each.picture not in known:
                cuts = card_cuts(desk, each, result.part, compact=is_compact(each))
                yield from _whose(each.picture, (*wants_of(cuts), *smaller_of(cuts)))


def _whose(owner: str, wants: Iterable[tuple[str, Want]]) -> Iterator[Wanted]:
    return ((owner, file, want) for file, want in wants)


def _nobodys(wants: Iterable[tuple[str, Want]]) -> Iterator[Wanted]:
    return _whose("", wants)
