"""The limit samples of the criterion that applies, to stand beside the picture at the same physical scale."""

from collections.abc import Iterator

from portal.assess.scales import sample_scale
from portal.bench.index import Spot, key_of
from portal.bench.pixels import sizes_at
from portal.bench.state import Bench
from portal.model.otherwise import agreed_otherwise
from portal.model.picture import PictureFacts
from portal.model.result import Applied, Scale
from portal.model.sample import LimitSample, SampleKind, SamplePicture, Side
from portal.model.say import Say
from portal.site.criteria import condition_words
from portal.site.drawn import anchor
from portal.site.pairs import sample_value
from portal.site.words import Speaker

_OTHERWISE = {"condition": "bench.sample_condition", "zone_class": "bench.sample_zone_class"}


def beside(
    bench: Bench, spot: Spot, applied: Applied | None, speaker: Speaker, *, zone: str
) -> list[dict[str, object]]:
    """The last good and the first bad sample for a finding in that zone, as far as there are any, each with one
    picture; one that has none is named, too, since there is a piece to look at.
    """
    found = []
    for sample in _samples(bench, spot, applied):
        warnings = _warnings(bench, spot, sample, applied, zone)
        found.append(_named(sample, speaker, warnings) | _data(bench, sample, _picture(bench, sample)))
    return found


def sample_file(sample: LimitSample, picture: SamplePicture) -> str:
    """The file of a sample's picture."""
    return f"{sample.folder}/{picture.file}"


def _samples(bench: Bench, spot: Spot, applied: Applied | None) -> Iterator[LimitSample]:
    """Those that the criterion names; else the newest of each side that fit it."""
    if applied is None:
        return
    known = bench.catalogue.limit_samples
    named = [known[each] for each in applied.criterion.sample_ids if each in known]
    fitting = bench.catalogue.samples_for(spot.part.id if spot.part else None, applied.criterion)
    for side in Side:
        yield from [each for each in named or fitting if each.side is side][:1]


def _picture(bench: Bench, sample: LimitSample) -> SamplePicture | None:
    """The first picture that is as it was agreed, one with something drawn on it before others."""
    for picture in sorted(sample.pictures, key=lambda each: not each.shapes):
        facts = bench.facts.get(sample_file(sample, picture))
        if isinstance(facts, PictureFacts) and facts.sha256 == picture.sha256:
            return picture
    return None


def _named(sample: LimitSample, speaker: Speaker, warnings: Iterator[Say]) -> dict[str, object]:
    value = sample_value(sample)
    return {
        "id": sample.id,
        "side": speaker.text(f"side.{sample.side.value.replace(' ', '-')}"),
        "value": speaker.say(value) if value else "",
        "warning": " ".join(speaker.say(each) for each in warnings),
        "piece": sample.kind is SampleKind.PIECE,
    }


def _data(bench: Bench, sample: LimitSample, picture: SamplePicture | None) -> dict[str, object]:
    """What is shown of it; no size of it where no picture is as it was agreed."""
    if picture is None:
        return {"width": 0, "height": 0, "um": None, "at": None, "sizes": []}
    file = sample_file(sample, picture)
    facts = bench.facts[file]
    assert isinstance(facts, PictureFacts)
    scale = sample_scale(sample, picture, bench.facts, bench.catalogue)
    at = anchor(picture.shapes)
    return {
        "width": facts.upright.width,
        "height": facts.upright.height,
        "um": [scale.x_um, scale.y_um] if isinstance(scale, Scale) else None,
        "at": {"x": at[0], "y": at[1]} if at else None,
        "sizes": sizes_at(f"/sample/{key_of(file)}", facts),
    }


def _warnings(bench: Bench, spot: Spot, sample: LimitSample, applied: Applied | None, zone: str) -> Iterator[Say]:
    today = bench.today()
    if sample.expires and sample.expires < today:
        yield Say.of("card.sample_expired", sample=sample.id, day=sample.expires)
    if sample.replaced_by:
        yield Say.of("card.sample_replaced", sample=sample.id, by=sample.replaced_by)
    known = spot.part.zones.get(zone) if spot.part else None
    if applied is None:
        return
    for other in agreed_otherwise(sample, applied.criterion, known):
        words = condition_words(bench.catalogue, applied, other.sample) if other.what == "condition" else None
        yield Say.of(_OTHERWISE[other.what], sample=sample.id, agreed=words or other.sample, criterion=other.criterion)
