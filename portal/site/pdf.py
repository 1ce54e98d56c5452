"""A sent review on paper: A4 pages with every question, its letters to tick, and a card for every finding."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from io import BytesIO
from pathlib import Path

from fpdf import FPDF

from portal import resources
from portal.model.answer import AskKind
from portal.model.event import check_code
from portal.model.shown import Sent, Shown, ShownAsk, ShownCell, ShownFact, ShownFinding, ShownMovie, ShownView
from portal.site.embed import fitting
from portal.site.mailed import about_picture
from portal.site.marks import word_key
from portal.site.pdfpicture import INK, draw, height_of
from portal.site.pdfruler import draw_ruler, height_of_ruler
from portal.site.redrawn import asked_view, reading_of, speaker_of
from portal.site.ruler import Rulers, rulers
from portal.site.words import Speaker

MOST_BYTES = 4_400_000
"""Of pictures in all: gateways refuse larger mails, and a page of text needs little."""
_SOFT, _RULE = (84, 94, 100), (170, 162, 146)
_MARGIN, _BOTTOM = 16.0, 18.0
_WIDTH = 210 - 2 * _MARGIN
_ASKED_WIDTH = 72.0
_MOVIE_WIDTH = 84.0


def pdf_of(shown: Shown, pictures: Mapping[str, Path], sent: Sent, *, at: datetime) -> bytes:
    """The document; the same bytes for the same review and event."""
    views = [view for each in shown.findings for view in (each.view, *(one.view for one in each.samples))]
    drawn = {view.picture for view in views} | {each.picture for each in shown.asks}
    for movie in shown.movies or ():
        drawn |= {movie.poster, *(each.picture for each in movie.stills)}
    wanted = [each for each in shown.pictures if each.sha256 in drawn]
    paper = _Paper(shown, sent, fitting(wanted, pictures, most=MOST_BYTES))
    paper.set_creation_date(at)
    paper.document()
    return bytes(paper.output())


class _Paper(FPDF):
    def __init__(self, shown: Shown, sent: Sent, files: dict[str, bytes]) -> None:
        super().__init__(format="A4", unit="mm")
        self.shown, self.sent, self.files = shown, sent, files
        self.speaker: Speaker = speaker_of(shown)
        fonts = resources.templates() / "fonts"
        self.add_font("sans", "", fonts / "DejaVuSansCondensed.ttf")
        self.add_font("sans", "B", fonts / "DejaVuSansCondensed-Bold.ttf")
        self.add_font("serif", "B", fonts / "DejaVuSerif-Bold.ttf")
        self.set_margins(_MARGIN, 20, _MARGIN)
        self.set_auto_page_break(True, _BOTTOM)
        self.alias_nb_pages("{pages}")
        self.set_title(self._t("paper.title", number=sent.number, name=shown.part.name))
        self.set_lang(shown.language)
        self.set_creator(f"portal {shown.program}")

    def header(self) -> None:
        """The marking, on every page."""
        self.set_y(9)
        self._font(7, colour=_SOFT)
        self.cell(_WIDTH, 4, self.shown.marking, align="C")
        self.set_y(20)

    def footer(self) -> None:
        """Which review, and which page of how many."""
        self.set_y(-13)
        self._font(7, colour=_SOFT)
        part = self.shown.part
        told = self._t(
            "paper.footer",
            number=self.sent.number,
            code=check_code(self.sent.digest),
            part=part.number_customer,
            stage=self.shown.stage,
        )
        self.cell(_WIDTH - 25, 4, told)
        self.cell(25, 4, f"{self.page_no()} / {{pages}}", align="R")

    def document(self) -> None:
        """Every page."""
        self.add_page()
        self._title()
        self._whole()
        self._asks()
        for finding in self.shown.findings:
            self._card(finding)
        self._movies()
        self._sheet()
        self._end()

    def _t(self, key: str, **values: str | int | date) -> str:
        return self.speaker.text(key, **values)

    def _font(self, size: float, *, bold: bool = False, colour: tuple[int, int, int] = INK, name: str = "sans") -> None:
        self.set_font(name, "B" if bold or name == "serif" else "", size)
        self.set_text_color(*colour)

    def _say(self, text: str, *, size: float = 9, bold: bool = False, soft: bool = False, after: float = 1.2) -> None:
        self._font(size, bold=bold, colour=_SOFT if soft else INK)
        self.set_x(self.l_margin)
        self.multi_cell(self.epw, size * 0.47, text, align="L", new_x="LMARGIN", new_y="NEXT")
        self.ln(after)

    def _heading(self, text: str, *, size: float = 13) -> None:
        self.ln(3)
        self._room(18)
        self._font(size, name="serif")
        self.multi_cell(self.epw, size * 0.45, text, align="L", new_x="LMARGIN", new_y="NEXT")
        self.ln(1.5)

    def _rule(self) -> None:
        self.set_draw_color(*_RULE)
        self.set_line_width(0.2)
        self.line(self.l_margin, self.get_y(), self.l_margin + self.epw, self.get_y())
        self.ln(1.5)

    def _room(self, height: float) -> None:
        """Begin a page where so much doesn't fit on this one."""
        if self.get_y() + height > self.h - _BOTTOM:
            self.add_page()

    def _title(self) -> None:
        shown, part = self.shown, self.shown.part
        self._font(19, name="serif")
        self.multi_cell(self.epw, 8.5, part.name, align="L", new_x="LMARGIN", new_y="NEXT")
        sent = self._t("mail.review", number=self.sent.number, code=check_code(self.sent.digest))
        asked = self._t("mail.from", by=self.sent.by, shop=shown.shop, to=", ".join(self.sent.to))
        self._say(f"{sent}. {asked}", after=2)
        numbers = self._t("mail.part", name=part.name, customer=part.number_customer, shop=part.number_shop)
        drawing = self._t("mail.drawing", number=part.drawing, revision=part.drawing_revision)
        self._say(f"{numbers}. {drawing}.", soft=True, size=8.5, after=2)
        self._rule()
        self._grid(shown.title, columns=3)
        self._rule()

    def _grid(self, facts: Sequence[ShownFact], *, columns: int) -> None:
        """Facts side by side, row by row."""
        width = self.epw / columns
        for start in range(0, len(facts), columns):
            top, bottom = self.get_y(), self.get_y()
            for place, fact in enumerate(facts[start : start + columns]):
                self.set_xy(self.l_margin + place * width, top)
                self._font(6.8, colour=_SOFT)
                self.multi_cell(width - 3, 3.2, fact.name, align="L", new_x="LEFT", new_y="NEXT")
                self._font(8.5, bold=fact.strong)
                self.multi_cell(width - 3, 3.9, fact.value, align="L", new_x="LEFT", new_y="NEXT")
                if fact.more:
                    self._font(7.5, colour=_SOFT)
                    self.multi_cell(width - 3, 3.5, fact.more, align="L", new_x="LEFT", new_y="NEXT")
                bottom = max(bottom, self.get_y())
            self.set_xy(self.l_margin, bottom + 1.5)

    def _whole(self) -> None:
        self._say(f"{self._t(f'word.{word_key(self.shown.word)}')}. {self.shown.sentence}", size=9.5, bold=True)
        for each in self.shown.since:
            self._say(each, size=8.5, after=0.6)
        self._say(self._t("review.no_defect_in_law") + " " + self._t("review.prevails"), size=7.5, soft=True)

    def _asks(self) -> None:
        asks = self.shown.asks
        if not asks:
            self._say(self._t("mail.nothing_asked"))
            return
        self._heading(self._t("paper.asks", n=len(asks)))
        due = min((each.due for each in asks if each.due), default=None)
        if due:
            self._say(self._t("mail.due", day=date.fromisoformat(due)), bold=True)
        for ask in asks:
            self._ask(ask)
        self._say(self._t("paper.how"), size=8)
        self._signatures()

    def _ask(self, ask: ShownAsk) -> None:
        self._room(16 + 5 * len(ask.letters))
        self._rule()
        top = self.get_y()
        self._font(13, name="serif")
        self.cell(9, 6, str(ask.number))
        self.set_left_margin(_MARGIN + 9)
        self.set_xy(self.l_margin, top)
        self._say(ask.question, size=9.5, bold=True, after=0.8)
        told = [self._about(each) for each in ask.findings]
        if ask.picture_name:
            told.append(about_picture(ask, self.speaker))
        for each in told:
            self._say(each, size=8, soft=True, after=0.4)
        self._asked_picture(ask)
        self.ln(0.8)
        for letter in ask.letters:
            self._tick(f"{letter.letter}", letter.meaning)
        if ask.kind is AskKind.QUESTION:
            self._write_line()
        self.set_left_margin(_MARGIN)
        self.ln(1.5)

    def _about(self, finding: str) -> str:
        known = self.shown.finding(finding)
        if known is None:
            return finding
        return self._t("mail.finding", finding=finding, defect=known.defect, place=", ".join(known.place))

    def _tick(self, letter: str, meaning: str) -> None:
        """A box to tick, the letter, what it means."""
        x, y = self.l_margin, self.get_y()
        self.set_draw_color(*INK)
        self.set_line_width(0.3)
        self.rect(x, y + 0.5, 3.2, 3.2)
        self.set_xy(x + 5, y)
        self._font(8.8, bold=True)
        self.cell(5, 4.3, letter)
        self._font(8.8)
        self.multi_cell(self.epw - 10, 4.3, meaning, align="L", new_x="LMARGIN", new_y="NEXT")
        self.ln(0.6)

    def _asked_picture(self, ask: ShownAsk) -> None:
        """The picture that it is about, with the spot."""
        view = asked_view(self.shown, ask, self.speaker) if ask.picture else None
        if view is None:
            return
        self._room(height_of(view, _ASKED_WIDTH) + 6 + 5 * len(ask.letters))
        top = self.get_y() + 0.8
        tall = draw(self, view, self.files, x=self.l_margin, y=top, width=_ASKED_WIDTH)
        self.set_xy(self.l_margin, top + tall + 1)

    def _write_line(self) -> None:
        """Where an answer in words is written."""
        self.ln(1)
        self._say(self._t("field.words"), size=8, soft=True, after=6)
        self._rule()

    def _signatures(self) -> None:
        self._room(18)
        self.ln(8)
        width = self.epw / 3
        y = self.get_y()
        self.set_draw_color(*INK)
        self.set_line_width(0.2)
        for place, key in enumerate(("paper.name", "paper.date", "paper.signature")):
            x = self.l_margin + place * width
            self.line(x, y, x + width - 6, y)
            self.set_xy(x, y + 0.8)
            self._font(7, colour=_SOFT)
            self.cell(width - 6, 3.5, self._t(key))
        self.set_xy(self.l_margin, y + 6)

    def _card(self, finding: ShownFinding) -> None:
        views = self._views(finding)
        each_width = (self.epw - 4 * (len(views) - 1)) / len(views) if len(views) > 1 else 96.0
        tallest = max(height_of(view, each_width) for _, view in views)
        self.ln(3)
        drawn = [rulers(reading_of(each), self.speaker) for each in finding.rulers]
        self._room(tallest + 48 + sum(height_of_ruler(both.wide) + 2 for both in drawn))
        self._rule()
        self._font(12, name="serif")
        self.cell(0, 5.5, f"{finding.defect[:1].upper()}{finding.defect[1:]}", new_x="LMARGIN", new_y="NEXT")
        piece = f", {self._t('card.piece', piece=finding.piece)}" if finding.piece else ""
        told = f"{self._t('card.finding', finding=finding.id)}: {', '.join(finding.place)}{piece}"
        self._say(told, size=8, soft=True, after=1)
        self._plates(views, each_width, tallest)
        word = self._t(f"word.{word_key(finding.said.word)}")
        self._rulers(drawn)
        self._say(f"{word}. {finding.sentence}", size=9, bold=True, after=0.8)
        for more in (*finding.more, *([finding.concern] if finding.concern else [])):
            self._say(more, size=8.5, after=0.6)
        if finding.note:
            self._say(finding.note, size=8.5, after=0.6)
        self._facts(finding)

    def _rulers(self, drawn: Sequence[Rulers]) -> None:
        """Every limit with what was measured against it, and what the whisker and the band are."""
        for both in drawn:
            self._room(height_of_ruler(both.wide) + 2)
            top = self.get_y()
            tall = draw_ruler(self, both.wide, x=self.l_margin + 6, y=top, width=self.epw - 18)
            self.set_xy(self.l_margin, top + tall + 1)
        if any(both.banded for both in drawn):
            self._say(self._t("ruler.explained"), size=7, soft=True, after=1)

    def _views(self, finding: ShownFinding) -> list[tuple[str, ShownView]]:
        own = (self._t("card.this_part"), finding.view)
        beside = [(f"{each.side} {each.id}, {each.agreed}, {each.scale}", each.view) for each in finding.samples]
        return [beside[0], own, *beside[1:]] if len(beside) > 1 else [own, *beside]

    def _plates(self, views: list[tuple[str, ShownView]], width: float, tallest: float) -> None:
        top = self.get_y()
        bottom = top
        for place, (told, _) in enumerate(views):
            self.set_xy(self.l_margin + place * (width + 4), top)
            self._font(7, colour=_SOFT)
            self.multi_cell(width, 3.2, told, align="L", new_x="LEFT", new_y="NEXT")
            bottom = max(bottom, self.get_y())
        for place, (_, view) in enumerate(views):
            draw(self, view, self.files, x=self.l_margin + place * (width + 4), y=bottom + 0.8, width=width)
        self.set_xy(self.l_margin, bottom + 0.8 + tallest + 2)

    def _facts(self, finding: ShownFinding) -> None:
        criterion = finding.criterion
        if criterion:
            told = f"{criterion.name}: {criterion.demand}; {criterion.severity}. {criterion.where}. {criterion.agreed}."
            self._fact(self._t("card.criterion"), told)
        else:
            self._fact(self._t("card.criterion"), self._t("card.no_criterion"))
        for fact in finding.facts:
            self._fact(fact.name, fact.value)
        for value in finding.values:
            self._fact(self._t("card.uncertainty"), f"{value.value}. {value.how}. {value.factor}")
        for refused in finding.refused:
            self._fact(self._t("card.uncertainty"), refused)

    def _fact(self, name: str, value: str) -> None:
        self._room(8)
        top = self.get_y()
        self._font(7.2, colour=_SOFT)
        self.multi_cell(30, 3.5, name, align="L", new_x="RIGHT", new_y="TOP")
        self.set_xy(self.l_margin + 31, top)
        self._font(7.8)
        self.multi_cell(self.epw - 31, 3.6, value, align="L", new_x="LMARGIN", new_y="NEXT")
        self.ln(0.5)

    def _movies(self) -> None:
        """The frame that stands for each movie and its strip; on paper nothing moves."""
        movies = self.shown.movies or ()
        if movies:
            self._room(self._tall(movies[0]) + 18)
            self._heading(self._t("movie.title"))
        for movie in movies:
            self._movie(movie)

    def _movie(self, movie: ShownMovie) -> None:
        wide, width = self._widths(movie)
        self._room(self._tall(movie))
        self._rule()
        self._say(", ".join((movie.name, *movie.place)), bold=True, after=0.8)
        told = "; ".join((movie.length, *movie.notes))
        in_zip = [self._t("movie.in_zip", name=movie.file)] if movie.file else []
        why = [f"{self._t('movie.cannot_play')} {movie.why}"] if movie.why else []
        for each in (*([movie.caption] if movie.caption else []), f"{told}.", *in_zip, *why):
            self._say(each, size=8, soft=each is not movie.caption, after=0.6)
        top = self.get_y()
        self._frame(movie.poster, self._t("sent.movie_alt", name=movie.name), x=self.l_margin, y=top, w=wide)
        top += wide * self._ratio(movie.poster) + 2
        for place, still in enumerate(movie.stills):
            x = self.l_margin + place * (width + 2)
            alt = self._t("movie.still_alt", name=movie.name, second=still.second)
            tall = self._frame(still.picture, alt, x=x, y=top, w=width)
            self.set_xy(x, top + tall + 0.6)
            self._font(7, colour=_SOFT)
            self.cell(width, 3.5, still.second)
        self.set_xy(self.l_margin, top + width * self._ratio(movie.poster) + 6)

    def _widths(self, movie: ShownMovie) -> tuple[float, float]:
        """Of the frame that stands for it, which is at most as high as wide, and of each of its strip."""
        wide = min(_MOVIE_WIDTH, _MOVIE_WIDTH / max(self._ratio(movie.poster), 0.1))
        return wide, (self.epw - 2 * (len(movie.stills) - 1)) / max(len(movie.stills), 1)

    def _tall(self, movie: ShownMovie) -> float:
        return sum(self._widths(movie)) * self._ratio(movie.poster) + 40

    def _ratio(self, picture: str | None) -> float:
        """Height over width."""
        known = self.shown.picture(picture)
        return known.height / known.width if known else 0.0

    def _frame(self, picture: str | None, alt: str, *, x: float, y: float, w: float) -> float:
        content = self.files.get(picture or "")
        if content is not None:
            self.image(BytesIO(content), x=x, y=y, w=w, alt_text=alt)
        return w * self._ratio(picture)

    def _sheet(self) -> None:
        sheet = self.shown.sheet
        if not sheet.views:
            return
        self._heading(self._t("paper.sheet"))
        first = 22.0
        width = (self.epw - first) / len(sheet.views)
        self._row([("", first), *((f"{each.name} ({each.value})", width) for each in sheet.views)], soft=True)
        for row in sheet.rows:
            cells = [(" ".join(self._cell(each)), width) for each in row.cells]
            self._row([(self._t("card.cavity", cavity=row.cavity), first), *cells])
        for each in sheet.blocked:
            self._say(each, size=8)

    def _cell(self, cell: ShownCell) -> list[str]:
        told = [self._t("paper.pictures", n=cell.pictures)] if cell.pictures else []
        if cell.findings:
            told.append(", ".join(cell.findings))
        return [*told, *cell.looked, *([cell.missing] if cell.missing else [])]

    def _row(self, cells: Sequence[tuple[str, float]], *, soft: bool = False) -> None:
        self._room(10)
        self._rule()
        top, bottom, x = self.get_y(), self.get_y(), self.l_margin
        for text, width in cells:
            self.set_xy(x, top)
            self._font(7.5, colour=_SOFT if soft else INK)
            self.multi_cell(width - 2, 3.5, text, align="L", new_x="LEFT", new_y="NEXT")
            bottom, x = max(bottom, self.get_y()), x + width
        self.set_xy(self.l_margin, bottom + 1)

    def _end(self) -> None:
        self._heading(self._t("mail.cautions"), size=11)
        for caution in self.shown.cautions:
            self._say(f"•  {caution}", size=7.8, after=0.5)
        self._say(self._t("mail.no_signature"), size=7.8, soft=True)
        self._say(self._t("paper.digest", digest=self.sent.digest), size=7, soft=True)
