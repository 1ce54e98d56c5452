"""A picture's own page: the whole picture at every zoom, with what was found on it."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from portal.model.ladder import rungs
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture
from portal.model.result import Assessment, Calibrated, FromFile, NoScale, Scale
from portal.model.say import DefectTerm, Say
from portal.model.scalars import Length
from portal.model.shop import Shared
from portal.model.tag import Finding, Shape, Tag
from portal.pictures.derive import Crop, Derived, Play, Want, Whole
from portal.site.card import anchor_of
from portal.site.crop import Cut
from portal.site.dates import Dated, dated
from portal.site.desk import Desk, Image
from portal.site.drawn import feature
from portal.site.hints import OwnNumbers, own_numbers
from portal.site.marks import word_key
from portal.site.movie import MovieFigure, movie_figure, movie_wants
from portal.site.rect import Rect
from portal.site.sights import lines_over
from portal.site.tagplace import TagPlace, tag_place
from portal.site.tiles import TILE, Size, sizes
from portal.site.view import Bar, Path, bar_of, paths_of
from portal.site.words import Speaker

_FITTED_PIXELS = 1400
_NO_BAR = 20.0
"""Percent of a phone's picture that the words take which stand in the scale bar's place where there is none."""
_WHOLE = (Whole(1),)


@dataclass(frozen=True, slots=True)
class Shown:
    """A size with its files, as they lie in the site."""

    size: Size
    images: tuple[Image, ...]

    @property
    def whole(self) -> tuple[Image, ...]:
        """Its one file; none where it comes in tiles."""
        return () if self.size.tiles else self.images

    def data(self, width: int, height: int) -> list[object]:
        """What the page's script needs: file, the pixels of the picture it covers, by how much divided; the tiles."""
        if self.size.tiles:
            return [None, width, height, self.size.divide, TILE, [each.path for each in self.images]]
        (only,) = self.images
        return [only.path, only.width * only.divide, only.height * only.divide, only.divide]


@dataclass(frozen=True, slots=True)
class Outline:
    """What was drawn of one finding, and where its label stands."""

    finding: str
    term: Say
    word: str
    paths: tuple[Path, ...]
    spots: tuple[tuple[float, float], ...]
    label: TagPlace


@dataclass(frozen=True, slots=True)
class FindingLine:
    """One finding of the picture with its verdict."""

    finding: str
    term: Say
    word: str
    sentence: Say
    address: str | None


@dataclass(frozen=True, slots=True)
class PicturePage:
    """All that a picture's page says."""

    title: Say
    marking: Say | str
    name: str
    caption: str | None
    shop_note: str | None
    alt: Say
    fitted: Image | None
    choices: tuple[Image, ...]
    """The sizes among which a browser chooses what its screen needs, up to the fitted one; or none."""
    full: Image | None
    width: int
    height: int
    ratio: float
    """Height of a pixel over its width."""
    outlines: tuple[Outline, ...]
    bar: Bar | None
    no_scale: Say | None
    data: dict[str, object]
    facts: tuple[tuple[Say, Say | str], ...]
    hints: OwnNumbers | None
    findings: tuple[FindingLine, ...]
    movie: MovieFigure | None
    dated: Dated
    tag_broken: str | None
    missing: Say | str | None
    before: str | None
    after: str | None
    reviews: tuple[tuple[str, str], ...]
    part_page: str | None


Beside = tuple[str | None, str | None]


def picture_wants(desk: Desk, file: str) -> Iterator[tuple[str, Want]]:
    """The derived pictures that a picture's page needs."""
    sizes = _sizes(desk, file)
    for want in dict.fromkeys((*(want for size in sizes for want in size.wants()), *(_WHOLE if sizes else ()))):
        yield file, want
    yield from movie_wants(desk, file)


def picture_page(
    desk: Desk, picture: Picture, mould: Mould, trial: Trial, marking: Say | str, *, beside: Beside = (None, None)
) -> PicturePage:
    """The page of a trial's picture; `beside` are the pages of the pictures before and after it."""
    part = _part(desk, picture, mould)
    speaker = desk.speaker(part.customer if part else None)
    facts, scale = desk.facts(picture.file), desk.scale(picture.file)
    shown = tuple(_shown(desk, picture.file))
    images = tuple(image for each in shown for image in each.whole)
    width, height = (facts.upright.width, facts.upright.height) if facts else (3, 2)
    scaled = scale if isinstance(scale, Scale) else None
    verdicts = _verdicts(desk, picture, mould, trial)
    bar = bar_of(width * scaled.x_um, speaker.unit) if scaled else None
    return PicturePage(
        title=Say.of("picture.title", name=picture.name),
        marking=marking,
        name=picture.name,
        caption=picture.tag.caption if picture.tag else None,
        shop_note=picture.tag.shop_note if picture.tag and desk.shows(Shared.SHOP_NOTES) else None,
        alt=_alt(picture),
        fitted=_fitted(images),
        choices=_choices(images, width, height),
        full=desk.image(picture.file, Whole(1)),
        width=width,
        height=height,
        ratio=scaled.y_um / scaled.x_um if scaled else 1.0,
        outlines=tuple(_outlines(picture, mould, trial, width, height, verdicts, bar)),
        bar=bar,
        no_scale=scale.reason if isinstance(scale, NoScale) else None,
        data=_data(shown, width, height, scaled, speaker),
        facts=tuple(_facts(desk, picture, scaled, speaker, width)),
        hints=own_numbers(desk, picture),
        findings=tuple(_findings(picture, mould, trial, verdicts)),
        movie=movie_figure(desk, picture),
        dated=dated(desk, picture, trial),
        tag_broken=picture.tag_broken if desk.for_shop else None,
        missing=None if images else desk.why_unreadable(picture.file),
        before=beside[0],
        after=beside[1],
        reviews=tuple(_reviews(desk, mould, trial, part)),
        part_page=desk.addresses.part(part.id) if part else None,
    )


def _sizes(desk: Desk, file: str) -> tuple[Size, ...]:
    facts = desk.facts(file)
    return sizes(facts.upright) if facts else ()


def _shown(desk: Desk, file: str) -> Iterator[Shown]:
    """The sizes of a picture that could be made."""
    for size in _sizes(desk, file):
        images = tuple(found for found in (desk.image(file, want) for want in size.wants()) if found)
        if images and len(images) == len(size.wants()):
            yield Shown(size, images)


def _fitted(images: tuple[Image, ...]) -> Image | None:
    """The smallest size that is still sharp when it fills a page."""
    return next((each for each in images if each.width >= _FITTED_PIXELS), images[-1] if images else None)


def _choices(images: tuple[Image, ...], width: int, height: int) -> tuple[Image, ...]:
    """Those that lie over the picture exactly, so that the one that is chosen moves nothing."""
    fitted = _fitted(images)
    exact = tuple(each for each in images if (each.width * each.divide, each.height * each.divide) == (width, height))
    if fitted is None or fitted not in exact:
        return ()
    found = exact[: exact.index(fitted) + 1]
    return found if len(found) > 1 else ()


def _part(desk: Desk, picture: Picture, mould: Mould) -> Part | None:
    cavity = picture.tag.cavity if picture.tag else None
    return desk.site.catalogue.parts.get(desk.site.catalogue.part_of(mould, cavity) or "")


def _alt(picture: Picture) -> Say:
    tag = picture.tag
    if tag and tag.cavity and tag.view:
        return Say.of("picture.alt_tagged", cavity=tag.cavity, view=tag.view, name=picture.name)
    return Say.of("picture.alt", name=picture.name)


def _verdicts(desk: Desk, picture: Picture, mould: Mould, trial: Trial) -> dict[str, tuple[Assessment, str]]:
    """The verdicts on findings of the part that a picture shows, by id; its own win over those of another picture."""
    near = [each for each in trial.pictures if each.tag and mould.may_share_part(picture, each)]
    homes = [(each.file, own.id) for each in (*near, picture) for own in (each.tag.findings if each.tag else ())]
    return {id_: desk.verdicts[file, id_] for file, id_ in homes if (file, id_) in desk.verdicts}


def _drawn(picture: Picture, mould: Mould, trial: Trial) -> Iterator[tuple[Finding, tuple[Shape, ...]]]:
    """The findings of a picture with what was drawn of each, also those that are written under another one."""
    if picture.tag is None:
        return
    for finding in picture.tag.findings:
        yield finding, finding.shapes
    if not picture.tag.also:
        return
    near = [each.tag for each in trial.pictures if each.tag and mould.may_share_part(picture, each)]
    all_of = {finding.id: finding for tag in near for finding in tag.findings}
    for more in picture.tag.also:
        if more.finding in all_of:
            yield all_of[more.finding], more.shapes


def _outlines(
    picture: Picture,
    mould: Mould,
    trial: Trial,
    width: int,
    height: int,
    verdicts: Mapping[str, tuple[Assessment, str]],
    bar: Bar | None,
) -> Iterator[Outline]:
    whole = Cut(picture.file, Rect(0, 0, width, height), 1.0, 1.0, Crop((0, 0, width, height)))
    for finding, shapes in _drawn(picture, mould, trial):
        own = verdicts.get(finding.id)
        measured = [each for each in own[0].measured() if each.picture == picture.file] if own else []
        covered = feature(shapes, measured)
        if covered is None:
            continue
        lines = lines_over(shapes, measured)
        yield Outline(
            finding=finding.id,
            term=Say.of("card.term", term=DefectTerm(finding.defect)),
            word=word_key(own[0].verdict.word) if own else "not-judged",
            paths=tuple(path for line in lines if line.kind != "spot" for path in paths_of(line, whole)),
            spots=tuple(
                (100 * line.points[0][0] / width, 100 * line.points[0][1] / height)
                for line in lines
                if line.kind == "spot"
            ),
            label=tag_place(covered, width, height, bar=bar.percent if bar else _NO_BAR),
        )


def _data(
    shown: tuple[Shown, ...], width: int, height: int, scale: Scale | None, speaker: Speaker
) -> dict[str, object]:
    """What the page's script needs: sizes, the scale, the ladder of bars."""
    return {
        "width": width,
        "height": height,
        "ratio": scale.y_um / scale.x_um if scale else 1.0,
        "um": [scale.x_um, scale.y_um] if scale else None,
        "rungs": [[rung.um, speaker.number(rung.label)] for rung in rungs(speaker.unit)],
        "sizes": [each.data(width, height) for each in shown],
    }


def _facts(
    desk: Desk, picture: Picture, scale: Scale | None, speaker: Speaker, width: int
) -> Iterator[tuple[Say, Say | str]]:
    yield from _noted(desk, picture.file)
    if picture.tag is None:
        yield Say.of("picture.tag"), Say.of("picture.untagged")
        return
    yield from _known_of(picture.tag, desk, scale, speaker, width)


def _noted(desk: Desk, file: str) -> Iterator[tuple[Say, Say | str]]:
    """How the file's pixels became the ones that are shown, where that took a choice."""
    for note in dict.fromkeys(note for derived in _still(desk, file) for note in derived.notes):
        yield Say.of("picture.shown"), note


def _still(desk: Desk, file: str) -> Iterator[Derived]:
    """What was derived of its pixels; of a movie its figure tells the rest."""
    return (each for want, each in desk.derived.get(file, {}).items() if not isinstance(want, Play))


def _known_of(
    tag: Tag, desk: Desk, scale: Scale | None, speaker: Speaker, width: int
) -> Iterator[tuple[Say, Say | str]]:
    for key, value in (("cavity", tag.cavity), ("shot", tag.shot), ("piece", tag.piece), ("view", tag.view)):
        if value is not None:
            yield Say.of(f"picture.{key}"), str(value)
    if scale:
        yield Say.of("picture.field"), speaker.about(width * scale.x_um, digits=3)
        yield from _given_by(desk, scale.given_by)
        for each in scale.held:
            yield Say.of("picture.held"), each
        x, y = (speaker.about(um, unit="um", digits=4) for um in (scale.x_um, scale.y_um))
        yield Say.of("picture.pixel"), Say.of("picture.pixel_size", x=x, y=y)
    elif tag.scope:
        yield (
            Say.of("picture.setting"),
            Say.of("picture.setting_of", scope=tag.scope, setting=tag.setting or Say.of("title.none")),
        )
    yield Say.of("picture.made"), Say.of(f"made.{tag.made.value}")


def _given_by(desk: Desk, by: Calibrated | Length | FromFile) -> Iterator[tuple[Say, Say | str]]:
    """What the scale is from."""
    if isinstance(by, Length):
        yield Say.of("picture.scale_from"), Say.of("picture.scale_reference", reference=by)
        return
    if isinstance(by, FromFile):
        yield Say.of("picture.scale_from"), Say.of("picture.scale_file", where=Say.of(f"file_scale.{by.by}"))
        return
    known = desk.site.catalogue.calibration(by)
    yield Say.of("picture.setting"), Say.of("picture.setting_of", scope=by.scope, setting=by.setting)
    yield (
        Say.of("picture.calibration"),
        Say.of("picture.calibration_of", id=known.id, day=known.date, until=known.valid_until),
    )


def _findings(
    picture: Picture, mould: Mould, trial: Trial, verdicts: Mapping[str, tuple[Assessment, str]]
) -> Iterator[FindingLine]:
    for finding, _ in _drawn(picture, mould, trial):
        known = verdicts.get(finding.id)
        term = Say.of("card.term", term=DefectTerm(finding.defect))
        if known is None:
            yield FindingLine(finding.id, term, "not-judged", Say.of("picture.no_verdict"), None)
            continue
        assessment, page = known
        verdict = assessment.verdict
        yield FindingLine(finding.id, term, word_key(verdict.word), verdict.sentence, f"{page}#{anchor_of(finding.id)}")


def _reviews(desk: Desk, mould: Mould, trial: Trial, part: Part | None) -> Iterator[tuple[str, str]]:
    for result in desk.site.results:
        if (result.mould, result.trial) == (mould.id, trial.id) and part and result.part.id == part.id:
            yield f"{result.part.name}, {trial.stage}", desk.addresses.review(result.part.id, mould.id, trial.id)
