"""The review page of a trial as the customer will see it, beside the bench: drawn anew after each change, read only."""

from pathlib import Path
from threading import Lock

from portal.bench.index import NotThere
from portal.bench.listing import parts_of
from portal.bench.state import Bench
from portal.model.part import Part
from portal.site.address import Addresses
from portal.site.inputs import Page
from portal.site.static import static
from portal.site.typeset import typeset
from portal.tasks.preview import Previews, Wanted


class Previewing:
    """The pages of trials by the key of the trial and the place of the part among those that its mould makes."""

    def __init__(self, bench: Bench, beside: Path) -> None:
        self._bench = bench
        self._previews = Previews(bench.folder, beside)
        self._static = {each.path: each.body for each in static()}
        self._last: tuple[tuple[str, int, int], Page] | None = None
        self._lock = Lock()

    def frame(self, key: str, language: str | None) -> bytes:
        """The page around it, which is drawn anew by itself."""
        speaker = self._bench.speaker(language)
        mould, trial = self._bench.index.trial(key)
        parts = self._parts(key)
        return typeset(
            "benchpreview",
            speaker,
            here="",
            trial=f"{mould.id} {trial.id}",
            parts=[(each.name, self._customer(each)) for each in parts],
            data={
                "key": key,
                "language": speaker.language,
                "version": self._bench.version,
                "pages": [f"/preview/{key}/{place}/{self._path(key, place)}" for place in range(len(parts))],
                "said": speaker.text("bench.preview.drawn"),
                "gone": speaker.text("bench.preview.gone"),
            },
        )

    def page(self, key: str, place: int, path: str) -> bytes:
        """The page, or a style or script of it; NotThere where it is nothing of the page."""
        if path in self._static:
            return self._static[path]
        page = self._page(key, place)
        if path != page.path:
            raise NotThere("refused.only_page")
        return page.body

    def picture(self, path: str) -> Path | None:
        """The file of a picture that a page of late showed, made now if it wasn't yet.

        Where that fails the page is drawn anew, since it has to say so.
        """
        failures = self._previews.failures
        found = self._previews.picture(path)
        if self._previews.failures != failures:
            self._bench.draw_anew()
        return found

    def _parts(self, key: str) -> tuple[Part, ...]:
        mould, _ = self._bench.index.trial(key)
        return tuple(each for each in parts_of(self._bench, mould) if each.customer in self._bench.catalogue.customers)

    def _customer(self, part: Part) -> str:
        return self._bench.catalogue.customers[part.customer].name

    def _path(self, key: str, place: int) -> str:
        mould, trial = self._bench.index.trial(key)
        return Addresses(self._bench.catalogue).review(self._parts(key)[place].id, mould.id, trial.id)

    def _page(self, key: str, place: int) -> Page:
        """Drawn once for each state of the catalogue."""
        with self._lock:
            named = (key, place, self._bench.version)
            if self._last is not None and self._last[0] == named:
                return self._last[1]
            mould, trial = self._bench.index.trial(key)
            parts = self._parts(key)
            if not 0 <= place < len(parts):
                raise NotThere("refused.no_part")
            wanted = Wanted(mould.id, trial.id, parts[place].id)
            page = self._previews.page(self._bench.catalogue, self._bench.facts, wanted, as_of=self._bench.today())
            self._last = (named, page)
            return page
