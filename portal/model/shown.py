"""What a sent review showed, in full and in the words in which it was told: it is drawn from this for ever.

A `shown.json` is the RFC 8785 form of a `Shown`; its SHA-256 is the review's digest. It holds no time of sending and
no hash of the log, and it names pictures by the SHA-256 of the files kept beside it.
"""

from typing import Any

from portal.model.answer import AskKind
from portal.model.base import Record
from portal.model.scalars import Count, FindingId, Sha256, Text
from portal.model.terms import Answer, VerdictWord

FORMAT = 1


class ShownPart(Record):
    """The part with the numbers of both sides."""

    id: Text
    name: Text
    number_shop: Text
    number_customer: Text
    drawing: Text
    drawing_revision: Text


class ShownFact(Record):
    """A field of the title block, or something else that is said by its name."""

    name: Text
    value: Text
    more: Text | None = None
    strong: bool = False


class ShownBox(Record):
    """A rectangle in the unit of its field: micrometres, or pixels where there is no scale."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From top to bottom."""
        return self.bottom - self.top


class ShownPath(Record):
    """A line over a picture: SVG path data in the unit of its field."""

    d: Text
    kind: Text


class ShownBar(Record):
    """A scale bar: its label, and its length in percent of the picture's width."""

    label: Text
    percent: float


class ShownView(Record):
    """A picture as it stood on the page; without `picture`, `missing` says why."""

    picture: Sha256 | None = None
    alt: Text
    aspect: Text
    field: ShownBox
    placed: ShownBox
    pixel: tuple[float, float] | None = None
    """Width and height of a pixel of the upright picture in the unit of the field."""
    paths: tuple[ShownPath, ...] = ()
    bar: ShownBar | None = None
    missing: Text | None = None


class ShownLimit(Record):
    """A limit as it was agreed."""

    um: float
    text: Text


class ShownRuler(Record):
    """What a limit ruler showed: numbers in micrometres, texts as they stood beside it."""

    value: float
    expanded: float
    lower: ShownLimit | None = None
    upper: ShownLimit | None = None
    accept_from: float | None = None
    accept_to: float | None = None
    reject_below: float | None = None
    reject_above: float | None = None
    shown: Text
    accept_from_shown: Text | None = None
    accept_to_shown: Text | None = None
    sentence: Text


class ShownTerm(Record):
    """One line of an uncertainty budget."""

    name: Text
    u: Text
    distribution: Text
    share: Count
    """Of the combined variance, in percent."""


class ShownValue(Record):
    """A measured value with how it came about."""

    value: Text
    how: Text
    factor: Text
    scale: Text | None = None
    correction: Text | None = None
    terms: tuple[ShownTerm, ...] = ()


class ShownCriterion(Record):
    """A criterion as the card told it."""

    name: Text
    demand: Text
    severity: Text
    where: Text
    agreed: Text


class ShownSample(Record):
    """A limit sample beside the finding."""

    id: Text
    side: Text
    agreed: Text
    scale: Text
    same_scale: bool
    view: ShownView
    warnings: tuple[Text, ...] = ()


class Said(Record):
    """The verdict as shown; two are compared on `key` and `word`, never on the words of a language."""

    key: Text
    word: VerdictWord
    value: Text | None = None
    limit: Text | None = None
    reason: Text | None = None
    question: Text | None = None


class ShownFinding(Record):
    """One finding with everything its card said."""

    id: FindingId
    basis: Sha256
    """The digest of `rests_on`."""
    rests_on: dict[str, Any]
    said: Said
    defect: Text
    defect_id: Text
    place: tuple[Text, ...]
    """Cavity, shot, zone and how the view sees it, in words."""
    cavity: Text | None = None
    piece: Text | None = None
    sentence: Text
    more: tuple[Text, ...] = ()
    view: ShownView
    whole: Sha256 | None = None
    """The picture as a whole."""
    whole_name: Text | None = None
    samples: tuple[ShownSample, ...] = ()
    rulers: tuple[ShownRuler, ...] = ()
    values: tuple[ShownValue, ...] = ()
    refused: tuple[Text, ...] = ()
    criterion: ShownCriterion | None = None
    set_aside: tuple[ShownCriterion, ...] = ()
    facts: tuple[ShownFact, ...] = ()
    concern: Text | None = None
    note: Text | None = None


class ShownLetter(Record):
    """An answer that an ask offers, and what it means there."""

    letter: Answer
    meaning: Text


class ShownAsk(Record):
    """An ask with its number in this review."""

    number: Count
    ask: Sha256
    kind: AskKind
    question: Text
    letters: tuple[ShownLetter, ...]
    findings: tuple[FindingId, ...] = ()
    picture: Sha256 | None = None
    """The whole picture that it is about, where it is about one."""
    picture_name: Text | None = None
    spot: Text | None = None
    owed_by: tuple[Text, ...] = ()
    names_needed: Count = 1
    due: Text | None = None
    follows: bool = False
    """Whether it takes up an earlier ask again."""


class ShownCell(Record):
    """One frame of the cavity × view sheet."""

    pictures: Count
    findings: tuple[FindingId, ...] = ()
    looked: tuple[Text, ...] = ()
    missing: Text | None = None


class ShownRow(Record):
    """One cavity of the sheet."""

    cavity: Text
    word: VerdictWord | None = None
    sentence: Text | None = None
    cells: tuple[ShownCell, ...]


class ShownSheet(Record):
    """What was looked at."""

    views: tuple[ShownFact, ...]
    rows: tuple[ShownRow, ...]
    blocked: tuple[Text, ...] = ()


class ShownClass(Record):
    """A defect class that the review names; prose is Markdown."""

    id: Text
    term: Text
    prose: Text | None = None
    lines: tuple[ShownFact, ...] = ()


class ShownPicture(Record):
    """A file kept beside `shown.json` as `pictures/<sha256>.jpg`."""

    sha256: Sha256
    width: Count
    height: Count
    name: Text
    """What the picture is called in the catalogue."""
    whole: bool
    """Whether it is the whole picture, or the part of it that a card shows."""


class ShownStill(Record):
    """One frame of a movie."""

    picture: Sha256
    second: Text
    """When it is shown, in words."""


class ShownMovie(Record):
    """A movie that is asked about, or that shows a finding."""

    name: Text
    """What it is called in the catalogue."""
    sha256: Sha256 | None = None
    """Of the file that is kept in `pictures/` with the ending of `file`; without it, `why` tells why not."""
    file: Text | None = None
    """What it is called in the zip."""
    plays: bool = False
    """Whether browsers play it; else it can be taken away."""
    poster: Sha256 | None = None
    """The frame that stands for it."""
    stills: tuple[ShownStill, ...] = ()
    place: tuple[Text, ...] = ()
    """Cavity, shot and view, in words."""
    caption: Text | None = None
    findings: tuple[FindingId, ...] = ()
    length: Text
    notes: tuple[Text, ...] = ()
    why: Text | None = None

    @property
    def kept(self) -> str | None:
        """The name under which its file is kept."""
        return f"{self.sha256}.{self.file.rpartition('.')[2]}" if self.sha256 and self.file else None


class Shown(Record):
    """`shown.json`."""

    format: Count
    program: Text
    language: Text
    unit: Text
    time_zone: Text | None = None
    """The shop's, in which the day of sending is told."""
    shop: Text
    customer: Text
    customer_id: Text
    part: ShownPart
    trial: Text
    """`<mould>/<trial>`."""
    stage: Text
    marking: Text
    title: tuple[ShownFact, ...]
    word: VerdictWord
    sentence: Text
    asks: tuple[ShownAsk, ...]
    findings: tuple[ShownFinding, ...]
    """Worst first."""
    since: tuple[Text, ...] = ()
    """What changed since the last review of this trial."""
    sheet: ShownSheet
    facts: tuple[ShownFact, ...] = ()
    pieces: tuple[ShownFact, ...] = ()
    classes: tuple[ShownClass, ...] = ()
    cautions: tuple[Text, ...]
    pictures: tuple[ShownPicture, ...]
    movies: tuple[ShownMovie, ...] | None = None
    """None where it shows no movie."""

    def plain(self) -> dict[str, Any]:
        """Plain data, without what is absent."""
        return self.model_dump(mode="json", exclude_none=True)

    def finding(self, id_: str) -> ShownFinding | None:
        """A finding that it shows."""
        return next((each for each in self.findings if each.id == id_), None)

    def picture(self, sha256: str | None) -> ShownPicture | None:
        """A picture that it shows."""
        return next((each for each in self.pictures if each.sha256 == sha256), None)


class Sent(Record):
    """What sending adds to what a review shows; none of it is in its digest."""

    digest: Sha256
    """Of `shown.json`."""
    number: Count
    event: Sha256
    """The `review-sent` event."""
    heads: tuple[Sha256, ...]
    """The newest events of the log once it was sent."""
    sent_on: Text
    """Day, as `2026-03-04`."""
    by: Text
    """Who asks."""
    to: tuple[Text, ...]
    """Names of those who are asked."""
    reply_to: Text | None = None
    """The mail address that answers go to."""
