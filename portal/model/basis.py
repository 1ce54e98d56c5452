"""What a statement about a finding rests on; its digest binds an answer to what was shown."""

from collections.abc import Iterable, Iterator
from typing import Any

from portal.model.base import Record
from portal.model.catalogue import Catalogue, Found
from portal.model.digest import digest
from portal.model.picture import Picture
from portal.model.result import Assessment, Calibrated
from portal.model.sample import LimitSample
from portal.model.scope import Calibration
from portal.model.tag import Finding, Tag
from portal.model.terms import Made

_OF_SAMPLE = {"kind", "defect", "zone_class", "side", "condition", "value", "u", "pictures", "agreed"}
"""Where its pieces lie and when they are looked at next says nothing about the limit."""

_OF_BENCH = {"evidence", "looked_again", "looked_back"}
"""What a calibration says that changes no length."""


def basis_of(found: Found, assessment: Assessment, catalogue: Catalogue) -> dict[str, Any]:
    """Plain data: the tag entry without shop-only notes, the pictures, criterion, calibrations, limit samples."""
    basis = {
        "finding": _plain(found.finding, leave_out={"shop_note"}),
        "picture": _picture(found.picture.tag),
        "place": _place(found),
        "also": list(_also(found)),
        "criterion": _plain(assessment.applied.criterion) if assessment.applied else None,
        "counted_on": [each.digest for each in assessment.counted_on],
        "calibrations": [_plain(each, leave_out=_OF_BENCH) for each in _calibrations(assessment, catalogue)],
        "limit_samples": {each.id: _plain(each, only=_OF_SAMPLE) for each in _samples(assessment, catalogue)},
    }
    return {name: value for name, value in basis.items() if value}


def basis_digest(found: Found, assessment: Assessment, catalogue: Catalogue) -> str:
    """SHA-256 of a finding's basis: another basis is another thing to be asked about."""
    return digest(basis_of(found, assessment, catalogue))


def group_digest(picture: Picture, findings: Iterable[Finding]) -> str:
    """SHA-256 of what a count on that picture rests on: its pixels, how it was taken, every finding counted there."""
    tag = picture.tag
    members = sorted(findings, key=lambda each: each.id)
    ids = {each.id for each in members}
    return digest(
        {
            "picture": _picture(tag),
            "place": _how_taken(tag),
            "findings": [_plain(each, leave_out={"shop_note"}) for each in members],
            "also": [_plain(more) for more in (tag.also if tag else ()) if more.finding in ids],
        }
    )


def _plain(record: Record, *, leave_out: set[str] | None = None, only: set[str] | None = None) -> dict[str, Any]:
    """Only the keys that were given in the file, text as written."""
    return {
        name: value
        for name, value in record.written().items()
        if name not in (leave_out or ()) and (only is None or name in only)
    }


def _picture(tag: Record | None) -> dict[str, Any]:
    picture: dict[str, Any] = tag.given().get("picture", {}) if tag else {}
    return picture


def _place(found: Found) -> dict[str, Any]:
    """Where the piece comes from and how it was looked at: who reads the finding relies on it."""
    return _how_taken(found.picture.tag)


def _how_taken(tag: Tag | None) -> dict[str, Any]:
    given = tag.given() if tag else {}
    named = {name: given[name] for name in ("cavity", "shot", "piece", "view", "scope", "setting") if name in given}
    return named | _sized_by(tag)


def _sized_by(tag: Tag | None) -> dict[str, Any]:
    """What else the scale of a picture rests on: how it was made, where it isn't a plain one, and a reference in it."""
    if tag is None:
        return {}
    given = tag.given()
    sized = {name: given[name] for name in ("native", "reference") if name in given}
    return sized | ({"made": given["made"]} if tag.made is not Made.SINGLE else {})


def _also(found: Found) -> Iterator[dict[str, Any]]:
    for picture in found.pictures():
        for more in picture.tag.also if picture.tag and picture.file != found.picture.file else ():
            if more.finding == found.finding.id:
                yield {"picture": _picture(picture.tag), **_sized_by(picture.tag), **_plain(more)}


def _calibrations(assessment: Assessment, catalogue: Catalogue) -> Iterator[Calibration]:
    measured = [each.scale for each in assessment.measured()]
    scales = [each for each in (*measured, *(each.scale for each in assessment.counted_on)) if each]
    for by in dict.fromkeys(each.given_by for each in scales):
        if isinstance(by, Calibrated):
            yield catalogue.calibration(by)


def _samples(assessment: Assessment, catalogue: Catalogue) -> Iterator[LimitSample]:
    for name in assessment.applied.criterion.sample_ids if assessment.applied else ():
        if name in catalogue.limit_samples:
            yield catalogue.limit_samples[name]
