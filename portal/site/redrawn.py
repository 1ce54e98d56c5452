"""A sent review drawn again from its store: nothing in it is worked out anew, nothing comes from the catalogue."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import PurePosixPath

from portal.model.event import check_code
from portal.model.say import Say
from portal.model.scalars import Length
from portal.model.shown import (
    Sent,
    Shown,
    ShownAsk,
    ShownBar,
    ShownBox,
    ShownFinding,
    ShownLimit,
    ShownMovie,
    ShownPath,
    ShownRow,
    ShownRuler,
    ShownSample,
    ShownView,
)
from portal.model.terms import VerdictWord
from portal.site.card import anchor_of
from portal.site.desk import Image
from portal.site.glossary import class_anchor
from portal.site.marks import word_key
from portal.site.movie import MOVIE_TYPES
from portal.site.rect import Rect
from portal.site.ruler import Reading, Rulers, rulers
from portal.site.titleblock import Entry, TitleBlock
from portal.site.view import Bar, Path, View, bar_of, spot_path
from portal.site.words import Speaker

Addresses = Callable[[str], str | None]
"""Where the file of a picture is found, by its SHA-256; None where it isn't kept any more."""
Smaller = Callable[[str], Image | None]
"""The same picture for a telephone; None where there is none."""

_FRAME = 4 / 3
"""Width to height of the frame in which a whole picture stands."""


@dataclass(frozen=True, slots=True)
class RedrawnSample:
    """A limit sample beside the finding."""

    shown: ShownSample
    view: View


@dataclass(frozen=True, slots=True)
class RedrawnCard:
    """A finding as its card told it."""

    shown: ShownFinding
    anchor: str
    class_anchor: str | None
    word: str
    main: View
    whole: View | None
    samples: tuple[RedrawnSample, ...]
    rulers: tuple[Rulers, ...]
    is_compact: bool


@dataclass(frozen=True, slots=True)
class RedrawnAsk:
    """An ask with the cards that it is about, or the picture."""

    shown: ShownAsk
    cards: tuple[RedrawnCard, ...]
    picture: View | None
    due: date | str | None


@dataclass(frozen=True, slots=True)
class RedrawnMovie:
    """A movie with the frames that were shown of it."""

    shown: ShownMovie
    alt: Say
    poster: Image | None
    stills: tuple[tuple[Image, Say, str], ...]
    """Each frame, what it shows, when."""
    path: str | None
    """Where the movie is; None where it isn't on this carrier."""
    type: str | None
    """None of a file that can only be taken away."""


@dataclass(frozen=True, slots=True)
class RedrawnRow:
    """One cavity of the sheet."""

    shown: ShownRow
    word: str | None


@dataclass(frozen=True, slots=True)
class Redrawn:
    """All that the page of a sent review says."""

    shown: Shown
    sent: Sent
    title: Say
    block: TitleBlock
    word: str
    asks: tuple[RedrawnAsk, ...]
    cards: tuple[RedrawnCard, ...]
    """Worst first, without those that are told in short."""
    shorts: tuple[RedrawnCard, ...]
    movies: tuple[RedrawnMovie, ...]
    rows: tuple[RedrawnRow, ...]
    words: dict[str, str]
    """The verdict word of each finding, as part of a key."""

    @property
    def code(self) -> str:
        """The review's check code."""
        return check_code(self.sent.digest)

    @property
    def sent_on(self) -> date | str:
        """The day on which it was sent."""
        return day_of(self.sent.sent_on)


def speaker_of(shown: Shown) -> Speaker:
    """Speaks in the language and the unit in which the review was told."""
    return Speaker(shown.language, "in" if shown.unit == "in" else "mm", lambda term: term)


def redrawn(
    shown: Shown,
    sent: Sent,
    speaker: Speaker,
    address: Addresses,
    *,
    plays: Addresses = lambda sha256: None,
    smaller: Smaller = lambda sha256: None,
) -> Redrawn:
    """The page of a review, from what it showed and what sending added; `plays` is where its movies are found."""
    drawing = _Drawing(shown, speaker, address, plays, smaller)
    cards = {each.id: drawing.card(each) for each in shown.findings}
    return Redrawn(
        shown=shown,
        sent=sent,
        title=Say.of("sent.title", number=sent.number, part=shown.part.name, id=shown.part.number_shop),
        block=_block(shown, sent),
        word=word_key(shown.word),
        asks=tuple(drawing.ask(each, cards) for each in shown.asks),
        cards=tuple(each for each in cards.values() if not each.is_compact),
        shorts=tuple(each for each in cards.values() if each.is_compact),
        movies=tuple(drawing.movie(each) for each in shown.movies or ()),
        rows=tuple(RedrawnRow(each, word_key(each.word) if each.word else None) for each in shown.sheet.rows),
        words={each.id: word_key(each.said.word) for each in shown.findings},
    )


def reading_of(shown: ShownRuler) -> Reading:
    """What a ruler shows, with the texts that stood beside it."""
    return Reading(
        value=shown.value,
        expanded=shown.expanded,
        lower=_length(shown.lower),
        upper=_length(shown.upper),
        accept=(shown.accept_from, shown.accept_to),
        reject=(shown.reject_below, shown.reject_above),
        shown=shown.shown,
        sentence=shown.sentence,
        accept_shown=(shown.accept_from_shown, shown.accept_to_shown),
    )


def day_of(text: str) -> date | str:
    """A day as `2026-03-04`, or the text that it is."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return text


def asked_view(shown: Shown, ask: ShownAsk, speaker: Speaker) -> ShownView | None:
    """The picture that an ask is about, with the spot, as a card's picture is kept."""
    view = _Drawing(shown, speaker, lambda sha256: sha256).asked_about(ask)
    if view is None:
        return None
    return ShownView(
        picture=ask.picture,
        alt=speaker.value(view.alt),
        aspect=view.aspect,
        field=_box(view.field),
        placed=_box(view.placed),
        paths=tuple(ShownPath(d=each.d, kind=each.kind) for each in view.paths),
        bar=ShownBar(label=str(view.bar.label), percent=view.bar.percent) if view.bar else None,
    )


@dataclass(frozen=True)
class _Drawing:
    shown: Shown
    speaker: Speaker
    address: Addresses
    plays: Addresses = lambda sha256: None
    smaller: Smaller = lambda sha256: None

    def movie(self, movie: ShownMovie) -> RedrawnMovie:
        path = self.plays(movie.sha256) if movie.sha256 else None
        stills = ((self.image(each.picture), each.second) for each in movie.stills)
        return RedrawnMovie(
            shown=movie,
            alt=Say.of("sent.movie_alt", name=movie.name),
            poster=self.image(movie.poster),
            stills=tuple(
                (image, Say.of("movie.still_alt", name=movie.name, second=second), second)
                for image, second in stills
                if image
            ),
            path=path,
            type=MOVIE_TYPES.get(PurePosixPath(path).suffix) if path else None,
        )

    def card(self, finding: ShownFinding) -> RedrawnCard:
        classes = {each.id for each in self.shown.classes}
        anchor = class_anchor(finding.defect_id)
        return RedrawnCard(
            shown=finding,
            anchor=anchor_of(finding.id),
            class_anchor=anchor if anchor in classes else None,
            word=word_key(finding.said.word),
            main=self.view(finding.view),
            whole=self.whole(finding),
            samples=tuple(RedrawnSample(each, self.view(each.view)) for each in finding.samples),
            rulers=tuple(rulers(reading_of(each), self.speaker) for each in finding.rulers),
            is_compact=finding.said.word is VerdictWord.CONFORMS and finding.concern is None,
        )

    def ask(self, ask: ShownAsk, cards: dict[str, RedrawnCard]) -> RedrawnAsk:
        about = tuple(cards[each] for each in ask.findings if each in cards)
        return RedrawnAsk(ask, about, self.asked_about(ask), day_of(ask.due) if ask.due else None)

    def view(self, view: ShownView) -> View:
        return View(
            field=_rect(view.field),
            aspect=view.aspect,
            alt=view.alt,
            image=self.image(view.picture),
            placed=_rect(view.placed),
            paths=tuple(Path(each.d, each.kind) for each in view.paths),
            bar=Bar(view.bar.label, view.bar.percent) if view.bar else None,
            missing=view.missing or Say.of("picture.not_there"),
            pixel=view.pixel,
            smaller=self.smaller(view.picture) if view.picture else None,
        )

    def image(self, sha256: str | None) -> Image | None:
        known = self.shown.picture(sha256)
        address = self.address(known.sha256) if known else None
        return Image(address, known.width, known.height, 1) if known and address else None

    def whole(self, finding: ShownFinding) -> View | None:
        """The picture that a card shows a part of, with the same lines."""
        view, alt = finding.view, Say.of("sent.whole_alt", name=finding.whole_name or "", finding=finding.id)
        if view.pixel is None:
            return None
        paths = tuple(Path(each.d, each.kind) for each in view.paths)
        return self.framed(finding.whole, alt, view.pixel, paths, has_scale=view.bar is not None)

    def asked_about(self, ask: ShownAsk) -> View | None:
        """The picture that an ask is about, with the spot."""
        beside = (each for each in self.shown.findings if each.whole == ask.picture and each.view.pixel)
        known = next(beside, None) if ask.picture else None
        pixel = known.view.pixel if known and known.view.pixel else (1.0, 1.0)
        alt = Say.of("sent.asked_alt", name=ask.picture_name or "")
        view = self.framed(ask.picture, alt, pixel, (), has_scale=bool(known and known.view.bar))
        spot = _spot(ask.spot)
        if view is None or spot is None:
            return view
        path = spot_path((spot[0] * pixel[0], spot[1] * pixel[1]), view.field)
        return View(view.field, view.aspect, view.alt, view.image, view.placed, (path,), view.bar, pixel=pixel)

    def framed(
        self, sha256: str | None, alt: Say, pixel: tuple[float, float], paths: tuple[Path, ...], *, has_scale: bool
    ) -> View | None:
        """A whole picture in the middle of a frame."""
        image = self.image(sha256)
        if image is None:
            return None
        width, height = image.width * pixel[0], image.height * pixel[1]
        wide = max(width, height * _FRAME)
        left, top = (wide - width) / 2, (wide / _FRAME - height) / 2
        field = Rect(-left, -top, wide - left, wide / _FRAME - top)
        bar = bar_of(wide, self.speaker.unit) if has_scale else None
        return View(field, "a43", alt, image, Rect(0, 0, width, height), paths, bar, pixel=pixel)


def _block(shown: Shown, sent: Sent) -> TitleBlock:
    part = shown.part
    told = (Entry(each.name, each.value, each.more, each.strong) for each in shown.title)
    return TitleBlock(
        part=part.name,
        numbers=Say.of("title.numbers", shop=part.number_shop, customer=part.number_customer),
        drawing=Say.of("title.drawing", number=part.drawing, revision=part.drawing_revision),
        customer=shown.customer,
        entries=(*told, *_sending(shown, sent)),
    )


def _sending(shown: Shown, sent: Sent) -> Iterator[Entry]:
    """What sending adds to the title block."""
    number = Say.of("sent.number", number=sent.number, code=check_code(sent.digest))
    yield Entry(Say.of("title.review"), number, Say.of("sent.on", day=day_of(sent.sent_on)), strong=True)
    yield Entry(Say.of("title.asked_by"), sent.by, shown.shop)
    days = sorted({each.due for each in shown.asks if each.due})
    day = Say.of("title.day", day=day_of(days[0])) if days else Say.of("sent.no_day")
    yield Entry(Say.of("title.answer_by"), day, strong=bool(days))


def _length(limit: ShownLimit | None) -> Length | None:
    return Length(limit.um, limit.text) if limit else None


def _rect(box: ShownBox) -> Rect:
    return Rect(box.left, box.top, box.right, box.bottom)


def _box(rect: Rect) -> ShownBox:
    return ShownBox(left=rect.left, top=rect.top, right=rect.right, bottom=rect.bottom)


def _spot(text: str | None) -> tuple[float, float] | None:
    try:
        x, y = (text or "").split(",")
        return float(x), float(y)
    except ValueError:
        return None
