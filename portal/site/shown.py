"""From a review's page, as its customer would see it, to what is frozen when it is sent."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from portal.model.basis import basis_of
from portal.model.digest import digest
from portal.model.logstate import AskState
from portal.model.part import Part
from portal.model.result import Assessment, TrialResult
from portal.model.say import Say
from portal.model.says import QuestionAsked
from portal.model.scalars import Length
from portal.model.shown import (
    FORMAT,
    Said,
    Shown,
    ShownAsk,
    ShownBar,
    ShownBox,
    ShownCell,
    ShownClass,
    ShownCriterion,
    ShownFact,
    ShownFinding,
    ShownLetter,
    ShownLimit,
    ShownMovie,
    ShownPart,
    ShownPath,
    ShownPicture,
    ShownRow,
    ShownRuler,
    ShownSample,
    ShownSheet,
    ShownStill,
    ShownTerm,
    ShownValue,
    ShownView,
)
from portal.model.slug import slug
from portal.model.terms import Answer, VerdictWord
from portal.pictures.derive import Derived, Play, Want, Whole
from portal.site import ruler
from portal.site.asks import meaning
from portal.site.card import Card, SampleFigure, is_compact, readings_of
from portal.site.criteria import CriterionLine
from portal.site.desk import Desk
from portal.site.glossary import ClassEntry
from portal.site.movie import movie_figure, second_of, sent_movies, still_wants
from portal.site.rect import Rect
from portal.site.review import Review, review_of
from portal.site.sheet import FrameCell, Sheet
from portal.site.sights import card_cuts, wants_of
from portal.site.view import View
from portal.site.words import Speaker

Told = Say | str


def shown_of(desk: Desk, result: TrialResult, asks: Sequence[AskState], *, since: Sequence[Say] = ()) -> Shown:
    """All that a review of that trial shows its customer, with those asks numbered in their order."""
    return _Freezing(desk, result, desk.speaker(result.part.customer)).shown(tuple(asks), tuple(since))


@dataclass
class _Freezing:
    desk: Desk
    result: TrialResult
    speaker: Speaker
    used: dict[str, ShownPicture] = field(default_factory=dict)

    def shown(self, asks: tuple[AskState, ...], since: tuple[Say, ...]) -> Shown:
        """The whole record."""
        page = review_of(self.desk, self.result)
        questions = {finding: each.question for each in asks for finding in each.findings}
        findings = tuple(
            self._finding(card, questions.get(card.finding))
            for card in (*page.cards, *page.compact)
            if isinstance(card, Card)
        )
        movies = tuple(self._movies([each.asked.event.about.picture for each in asks]))
        return Shown(
            format=FORMAT,
            program=self.desk.site.version,
            language=self.speaker.language,
            time_zone=self.desk.site.catalogue.shop.time_zone,
            unit=self.speaker.unit,
            shop=self.desk.site.catalogue.shop.shop.name,
            customer=page.block.customer,
            customer_id=self.result.part.customer,
            part=self._part(),
            trial=f"{self.result.mould}/{self.result.trial}",
            stage=self.desk.trial(self.result).stage,
            marking=self._say(page.marking),
            title=tuple(self._title(page)),
            word=self.result.whole.word,
            sentence=self._say(page.whole.sentence),
            asks=tuple(self._ask(number, each) for number, each in enumerate(asks, start=1)),
            findings=findings,
            since=tuple(self._say(each) for each in since),
            sheet=self._sheet(page.sheet),
            facts=(
                *(ShownFact(name=self._say(each.name), value=each.value) for each in page.facts),
                ShownFact(name=self._text("review.check"), value=self._say(page.checked)),
            ),
            pieces=tuple(self._pieces(page)),
            classes=tuple(self._class(each) for each in page.classes),
            cautions=tuple(self._say(each) for each in page.cautions),
            pictures=tuple(self.used[name] for name in sorted(self.used)),
            **({"movies": movies} if movies else {}),
        )

    @cached_property
    def _assessed(self) -> Mapping[str, Assessment]:
        return {each.finding: each for each in self.result.assessments}

    @cached_property
    def _by_address(self) -> Mapping[str, tuple[str, Derived]]:
        """Each derived picture with its source, by where a page finds it."""
        found = {}
        for file, many in self.desk.derived.items():
            for want, derived in many.items():
                image = self.desk.image(file, want)
                if image:
                    found[image.path] = (file, derived)
        return found

    def _say(self, what: Told) -> str:
        return what if isinstance(what, str) else self.speaker.say(what)

    def _maybe(self, what: Told | None) -> str | None:
        return None if what is None else self._say(what)

    def _text(self, key: str, **values: str | int) -> str:
        return self.speaker.text(key, **values)

    def _part(self) -> ShownPart:
        part = self.result.part
        return ShownPart(
            id=part.id,
            name=part.name,
            number_shop=part.numbers.shop,
            number_customer=part.numbers.customer,
            drawing=part.drawing.number,
            drawing_revision=part.drawing.revision,
        )

    def _title(self, page: Review) -> Iterator[ShownFact]:
        for each in page.block.entries:
            if not each.sent:
                more = self._maybe(each.more)
                yield ShownFact(name=self._say(each.name), value=self._say(each.value), more=more, strong=each.strong)

    def _pieces(self, page: Review) -> Iterator[ShownFact]:
        for each in page.pieces:
            made = self._text("piece.from", cavity=each.cavity, shot=each.shot)
            yield ShownFact(name=each.id, value=made, more=each.place)

    def _picture(self, file: str, derived: Derived, *, whole: bool) -> str:
        """Note that a picture is shown; its hash."""
        self.used[derived.sha256] = ShownPicture(
            sha256=derived.sha256,
            width=derived.width,
            height=derived.height,
            name=file.rpartition("/")[2],
            whole=whole,
        )
        return derived.sha256

    def _whole(self, file: str) -> str | None:
        derived = self.desk.derived.get(file, {}).get(Whole())
        return self._picture(file, derived, whole=True) if derived else None

    def _movies(self, asked: Sequence[str | None]) -> Iterator[ShownMovie]:
        taken: set[str] = set()
        for picture in sent_movies(self.desk, self.result, asked):
            figure, movie = movie_figure(self.desk, picture), self.desk.movie(picture.file)
            if figure is None or movie is None:
                continue
            derived = self.desk.derived.get(picture.file, {})
            played = derived.get(Play())
            stills = [(want, derived[want]) for want in still_wants(movie) if want in derived]
            yield ShownMovie(
                name=picture.name,
                sha256=played.sha256 if played else None,
                file=_file_in_zip(picture.name, played.ending, taken) if played else None,
                plays=figure.type is not None,
                poster=self._whole(picture.file),
                stills=tuple(
                    ShownStill(
                        picture=self._picture(picture.file, each, whole=False), second=self._say(second_of(movie, want))
                    )
                    for want, each in stills
                ),
                place=tuple(self._say(each) for each in figure.place),
                caption=figure.caption,
                findings=tuple(each for each in figure.findings if each in self._assessed),
                length=self._say(figure.length),
                notes=tuple(self._say(each) for each in figure.notes),
                why=self._maybe(figure.why),
            )

    def _view(self, view: View) -> ShownView:
        known = self._by_address.get(view.image.path) if view.image else None
        return ShownView(
            picture=self._picture(*known, whole=False) if known else None,
            alt=self._say(view.alt),
            aspect=view.aspect,
            field=_box(view.field),
            placed=_box(view.placed),
            pixel=view.pixel,
            paths=tuple(ShownPath(d=each.d, kind=each.kind) for each in view.paths),
            bar=ShownBar(label=self.speaker.number(view.bar.label), percent=view.bar.percent) if view.bar else None,
            missing=self._maybe(view.missing),
        )

    def _finding(self, card: Card, question: str | None) -> ShownFinding:
        assessment = self._assessed[card.finding]
        rests_on = basis_of(self.desk.found[assessment.picture, card.finding], assessment, self.desk.site.catalogue)
        name = assessment.picture.rpartition("/")[2]
        return ShownFinding(
            id=card.finding,
            basis=digest(rests_on),
            rests_on=rests_on,
            said=self._said(card, assessment, question),
            defect=self._say(card.defect),
            defect_id=card.defect_id,
            place=tuple(self._place(card)),
            cavity=card.cavity,
            piece=card.piece,
            sentence=self._say(card.sentence),
            more=tuple(self._say(each) for each in card.more_held),
            view=self._view(card.main),
            whole=self._whole(assessment.picture),
            whole_name=name,
            samples=tuple(self._sample(each) for each in card.samples),
            rulers=tuple(self._ruler(each) for each in readings_of(assessment)),
            values=tuple(self._values(card)),
            refused=tuple(
                self._say(Say.of("budget.refused", characteristic=each.characteristic, reason=each.reason))
                for each in card.reckoning.refused
            ),
            criterion=self._criterion(card.criterion) if card.criterion else None,
            set_aside=tuple(self._criterion(each) for each in card.set_aside),
            facts=tuple(self._facts(card)),
            concern=self._maybe(card.concern),
            note=card.note,
        )

    def _said(self, card: Card, assessment: Assessment, question: str | None) -> Said:
        limits = card.criterion.demand if card.criterion and assessment.held else None
        return Said(
            key=assessment.verdict.key,
            word=assessment.verdict.word,
            value="; ".join(self._say(each) for each in card.values) or None,
            limit=self._maybe(limits),
            reason=self._maybe(card.reason),
            question=question,
        )

    def _place(self, card: Card) -> Iterator[str]:
        if card.cavity:
            yield self._text("card.cavity", cavity=card.cavity)
        else:
            yield self._text("card.no_cavity")
        if card.shot is not None:
            yield self._text("card.shot", shot=card.shot)
        yield self._text("card.zone", zone=card.zone)
        if card.seen_as:
            yield self._say(card.seen_as)

    def _sample(self, figure: SampleFigure) -> ShownSample:
        return ShownSample(
            id=figure.id,
            side=self._say(figure.side),
            agreed=self._say(figure.agreed),
            scale=self._say(figure.scale),
            same_scale=figure.same_scale,
            view=self._view(figure.view),
            warnings=tuple(self._say(each) for each in figure.warnings),
        )

    def _ruler(self, reading: ruler.Reading) -> ShownRuler:
        accept_from, accept_to = (None if each is None else self.speaker.value(each) for each in reading.accept_shown)
        return ShownRuler(
            value=reading.value,
            expanded=reading.expanded,
            lower=_limit(reading.lower),
            upper=_limit(reading.upper),
            accept_from=reading.accept[0],
            accept_to=reading.accept[1],
            reject_below=reading.reject[0],
            reject_above=reading.reject[1],
            shown=self.speaker.value(reading.shown),
            accept_from_shown=accept_from,
            accept_to_shown=accept_to,
            sentence=self._say(reading.sentence),
        )

    def _values(self, card: Card) -> Iterator[ShownValue]:
        for each in card.reckoning.readings:
            yield ShownValue(
                value=self._say(each.value),
                how=self._say(each.how),
                factor=self._say(each.factor),
                scale=self._maybe(each.scale),
                correction=self._maybe(each.correction),
                terms=tuple(
                    ShownTerm(
                        name=self._say(line.name),
                        u=line.u,
                        distribution=self._say(line.distribution),
                        share=line.share,
                    )
                    for line in each.lines
                ),
            )

    def _criterion(self, line: CriterionLine) -> ShownCriterion:
        return ShownCriterion(
            name=self._say(line.name),
            demand=self._say(line.demand),
            severity=self._say(line.severity),
            where=self._say(line.where),
            agreed=self._say(line.agreed),
        )

    def _facts(self, card: Card) -> Iterator[ShownFact]:
        yield ShownFact(name=self._text("card.condition"), value=self._say(card.seen))
        for check in card.checks:
            yield ShownFact(name=self._text("card.felt"), value=self._say(check))
        seen = [self._maybe(card.field or card.no_scale), self._say(card.dated.said)]
        yield ShownFact(name=self._text("card.picture"), value=" ".join(each for each in seen if each))
        yield ShownFact(name=self._text("card.found"), value=self._say(card.found_by))

    def _ask(self, number: int, ask: AskState) -> ShownAsk:
        file, says = ask.asked.event.about.picture, ask.asked.event.says
        follows = says.follows if isinstance(says, QuestionAsked) else None
        return ShownAsk(
            number=number,
            ask=ask.hash,
            kind=ask.kind,
            question=ask.question,
            letters=tuple(
                ShownLetter(letter=each, meaning=self._say(meaning(ask.kind.value, each, self.speaker)))
                for each in sorted(ask.offers, key=list(Answer).index)
            ),
            findings=ask.findings,
            picture=self._whole(file) if file else None,
            picture_name=file.rpartition("/")[2] if file else None,
            spot=ask.asked.event.about.spot,
            owed_by=ask.owed_by,
            names_needed=ask.names_needed,
            due=ask.due,
            follows=bool(follows),
        )

    def _sheet(self, sheet: Sheet) -> ShownSheet:
        return ShownSheet(
            views=tuple(ShownFact(name=name, value=self._say(needed)) for name, needed in sheet.views),
            rows=tuple(
                ShownRow(
                    cavity=row.cavity,
                    word=VerdictWord(row.word.replace("-", " ")) if row.word else None,
                    sentence=self._maybe(row.sentence),
                    cells=tuple(self._cell(each) for each in row.cells),
                )
                for row in sheet.rows
            ),
            blocked=tuple(self._say(each) for each in sheet.blocked),
        )

    def _cell(self, cell: FrameCell) -> ShownCell:
        return ShownCell(
            pictures=len(cell.thumbs),
            findings=tuple(each.finding for each in cell.marks),
            looked=tuple(self._say(each) for each in cell.looked),
            missing=self._maybe(cell.missing),
        )

    def _class(self, entry: ClassEntry) -> ShownClass:
        return ShownClass(
            id=entry.anchor,
            term=self._say(entry.term),
            prose=entry.prose or None,
            lines=tuple(ShownFact(name=self._say(name), value=text) for name, text in entry.lines),
        )


def _file_in_zip(name: str, ending: str, taken: set[str]) -> str:
    """A name that no other movie has, whatever the case of its letters."""
    stem = slug(name.rpartition(".")[0] or name)
    file, number = f"movies/{stem}{ending}", 2
    while file.casefold() in taken:
        file, number = f"movies/{stem}-{number}{ending}", number + 1
    taken.add(file.casefold())
    return file


def _box(rect: Rect) -> ShownBox:
    return ShownBox(left=rect.left, top=rect.top, right=rect.right, bottom=rect.bottom)


def _limit(length: Length | None) -> ShownLimit | None:
    return ShownLimit(um=length.um, text=length.text) if length else None


def card_wants(desk: Desk, assessment: Assessment, part: Part) -> Iterator[tuple[str, Want]]:
    """The derived pictures that a finding's card needs."""
    return wants_of(card_cuts(desk, assessment, part, compact=is_compact(assessment)))
