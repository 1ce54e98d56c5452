"""A limit sample's page: the pieces, its pair beside it at the same scale, its value against its criterion."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from portal.model.part import Part
from portal.model.sample import LimitSample
from portal.model.say import DefectTerm, Quantity, Say
from portal.model.scalars import Length
from portal.model.shop import Shared
from portal.model.standard import Criterion, Limit
from portal.pictures.derive import Want
from portal.site import ruler
from portal.site.agreed import Agreed, agreed, criteria_in_force
from portal.site.criteria import condition_of, condition_text
from portal.site.crop import Cut, cut, whole_field
from portal.site.desk import Desk
from portal.site.pairs import Plate, pair_wants, pairs, plates, sample_value, sample_warnings
from portal.site.sights import best_picture, has_scale, sample_file, sample_sight
from portal.site.view import View, view_of
from portal.site.words import Speaker

_PIXELS = 700


@dataclass(frozen=True, slots=True)
class PieceLine:
    """A piece that somebody holds; its serial number only where this audience may know it."""

    serial: str | None
    cavity: str | None
    shot: int | None
    holder: str
    place: str
    next_check: date | None
    overdue: bool


@dataclass(frozen=True, slots=True)
class SamplePage:
    """All that a limit sample's page says."""

    title: Say
    marking: Say | str
    id: str
    side: Say
    kind: Say
    term: Say
    class_address: str | None
    part: str
    part_address: str | None
    zone: Say
    condition: Say | str
    value: Say | None
    agreed: tuple[tuple[Say, Say], ...]
    """Each side: who, and when."""
    expires: date | None
    expired: bool
    replaced_by: tuple[str, str | None] | None
    warnings: tuple[Say, ...]
    plates: tuple[Plate, ...]
    undrawn: bool
    """Whether its picture is shown, and nothing is drawn on it."""
    more: tuple[View, ...]
    """Further pictures of it, whole."""
    rulers: ruler.Rulers | None
    pieces: tuple[PieceLine, ...]
    shows_serials: bool
    serials_shop_only: bool
    used_by: tuple[Agreed, ...]


def sample_page(desk: Desk, sample: LimitSample, marking: Say | str) -> SamplePage:
    """The page of a limit sample."""
    part = desk.site.catalogue.parts.get(sample.part)
    speaker = desk.speaker(part.customer if part else None)
    condition = condition_of(desk.site.catalogue, sample.condition, None)
    used = tuple((own, where) for own, where in criteria_in_force(desk) if sample.id in own.sample_ids)
    replaced = sample.replaced_by
    return SamplePage(
        title=Say.of("sample.title", sample=sample.id),
        marking=marking,
        id=sample.id,
        side=Say.of(f"side.{sample.side.value.replace(' ', '-')}"),
        kind=Say.of(f"sample_kind.{sample.kind.value.replace(' ', '-')}"),
        term=Say.of("card.term", term=DefectTerm(sample.defect)),
        class_address=desk.addresses.record("defect", sample.defect),
        part=part.name if part else sample.part,
        part_address=desk.addresses.part(part.id) if part else None,
        zone=Say.of("criterion.class", zone=sample.zone_class),
        condition=condition_text(condition, sample.condition) if condition else sample.condition,
        value=sample_value(sample),
        agreed=tuple(_agreed(desk, sample, part)),
        expires=sample.expires,
        expired=sample.expires is not None and sample.expires < desk.site.as_of,
        replaced_by=(replaced, desk.addresses.record("limit sample", replaced)) if replaced else None,
        warnings=sample_warnings(desk, sample),
        plates=plates(desk, pairs(desk, [sample])[0], speaker),
        undrawn=_is_undrawn(desk, sample),
        more=tuple(_view(desk, sample, part_, file, speaker) for file, part_ in _more(desk, sample)),
        rulers=_rulers(sample, [own for own, _ in used], speaker),
        pieces=tuple(_pieces(desk, sample)),
        shows_serials=desk.shows(Shared.SERIAL_NUMBERS),
        serials_shop_only=desk.shop_only(Shared.SERIAL_NUMBERS),
        used_by=tuple(agreed(desk, own, where) for own, where in used),
    )


def sample_wants(desk: Desk, sample: LimitSample) -> Iterator[tuple[str, Want]]:
    """The derived pictures that a limit sample's page needs."""
    yield from pair_wants(desk, pairs(desk, [sample])[0])
    for _, part in _more(desk, sample):
        if part is not None:
            yield part.file, part.want


def _is_undrawn(desk: Desk, sample: LimitSample) -> bool:
    if not sample.pictures:
        return False
    shown = best_picture(desk, sample)
    return not shown.shapes and sample_sight(desk, sample, shown) is not None


def _agreed(desk: Desk, sample: LimitSample, part: Part | None) -> Iterator[tuple[Say, Say]]:
    customer = desk.site.catalogue.customers.get(part.customer) if part else None
    shop, theirs = sample.agreed.shop, sample.agreed.customer
    name = desk.site.catalogue.shop.shop.name
    yield Say.of("sample.for", party=name), Say.of("sample.agreed_by", by=desk.person(shop.by), day=shop.date)
    other = Say.of("sample.for", party=customer.name) if customer else Say.of("sample.for_customer")
    yield other, Say.of("sample.agreed_by", by=theirs.by, day=theirs.date)


def _pieces(desk: Desk, sample: LimitSample) -> Iterator[PieceLine]:
    for each in sample.pieces:
        yield PieceLine(
            serial=each.serial if desk.shows(Shared.SERIAL_NUMBERS) else None,
            cavity=each.cavity,
            shot=each.shot,
            holder=each.holder,
            place=each.place,
            next_check=each.next_check,
            overdue=each.next_check is not None and each.next_check < desk.site.as_of,
        )


def _more(desk: Desk, sample: LimitSample) -> Iterator[tuple[str, Cut | None]]:
    if not sample.pictures:
        return
    shown = best_picture(desk, sample)
    for picture in sample.pictures:
        if picture is not shown:
            sight = sample_sight(desk, sample, picture)
            part = cut(sight, whole_field(sight, aspect=3 / 2), pixels=_PIXELS) if sight else None
            yield sample_file(sample, picture), part


def _view(desk: Desk, sample: LimitSample, part: Cut | None, file: str, speaker: Speaker) -> View:
    alt = Say.of("sample.more_alt", sample=sample.id, name=file.rpartition("/")[2])
    return view_of(desk, part, alt=alt, aspect="a32", unit=speaker.unit if has_scale(desk, file) else None, file=file)


def _rulers(sample: LimitSample, criteria: list[Criterion], speaker: Speaker) -> ruler.Rulers | None:
    """The value against the one limit of the criterion that names the sample; of several limits the record doesn't
    say which characteristic was measured."""
    limits = dict.fromkeys(own.limits[0] for own in criteria if len(own.limits) == 1)
    if sample.value is None or len(limits) != 1:
        return None
    return ruler.rulers(_reading(sample.value, sample.u, next(iter(limits))), speaker)


def _reading(value: Length, u: Length | None, limit: Limit) -> ruler.Reading:
    expanded = u.um if u else None
    shown = Quantity(value.um, expanded, like=value)
    name = Say.of(f"characteristic.{limit.characteristic.value}")
    return ruler.Reading(
        value=value.um,
        expanded=expanded or 0.0,
        lower=limit.min,
        upper=limit.max,
        accept=(None, None),
        reject=(None, None),
        shown=shown,
        sentence=Say.of("sample.against", characteristic=name, value=shown),
    )
