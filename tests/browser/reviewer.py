"""A reviewer with the one file of a small review open in the browser."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from portal.inbox.answerfile import read_answer_file
from portal.model.answer import Bound
from portal.model.answerfile import AnswerFile
from portal.model.reply import Asked
from portal.site.onefile import held_by, one_file
from tests.browser.patience import PATIENCE_MS
from tests.site.sentreview import Store


@pytest.fixture(scope="session")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    """A small review, with its file beside its pictures."""
    return made(Store(tmp_path_factory.mktemp("sent")))


def made(store: Store) -> Store:
    """The store, with its one file written."""
    path_of(store).write_bytes(one_file(store.shown, held_by(store.shown, store.pictures), sent=store.sent))
    return store


def path_of(store: Store) -> Path:
    """Where the file lies."""
    return store.folder / "review.html"


def asked(store: Store) -> dict[int, Asked]:
    """What the review asked, as the log would tell it."""
    bases = {each.id: each.basis for each in store.shown.findings}
    return {
        each.number: Asked(
            each.number,
            each.ask,
            each.kind,
            tuple(letter.letter for letter in each.letters),
            tuple(Bound(finding=one, basis=bases[one]) for one in each.findings),
        )
        for each in store.shown.asks
    }


class Reviewer:
    """Somebody with the file open, and what the browser said and fetched meanwhile."""

    def __init__(self, context: BrowserContext, path: Path, *, plain: bool = False) -> None:
        self.said: list[str] = []
        self.fetched: list[str] = []
        self.page: Page = context.new_page()
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.fetched.append(request.url))
        self.page.goto(path.as_uri())
        if not plain:
            self.page.wait_for_selector("html.live", state="attached")

    def choose(self, name: str, value: str) -> None:
        """Tick or choose."""
        self.page.check(f"[name='{name}'][value='{value}']")

    def write(self, name: str, text: str) -> None:
        """Fill in a field."""
        self.page.fill(f"[name='{name}']", text)

    def text(self) -> str:
        """The answers as text."""
        return self.page.input_value("#as-text")

    def save(self) -> AnswerFile:
        """Save, and read the file as the shop will."""
        with self.page.expect_download() as waiting:
            self.page.click("text=Save my answers")
        return read_answer_file(Path(waiting.value.path()).read_bytes())

    def wait_until_kept(self, text: str) -> None:
        """Until the browser has kept that text."""
        for _ in range(600):
            if text in self.page.evaluate("JSON.stringify(localStorage)"):
                return
            self.page.wait_for_timeout(100)
        raise AssertionError(f"`{text}` wasn't kept")

    def tab_to(self, selector: str) -> None:
        """Press Tab until a control has the focus."""
        for _ in range(200):
            self.page.keyboard.press("Tab")
            if self.page.evaluate("selector => document.activeElement.matches(selector)", selector):
                return
        raise AssertionError(f"{selector} isn't reached by Tab")


OpenFile = Callable[..., Reviewer]


@pytest.fixture
def opened(chromium: Browser) -> Iterator[OpenFile]:
    """Opens a review's file; every context is closed afterwards."""
    contexts: list[BrowserContext] = []

    def opening(
        store: Store, *, width: int = 1280, scale: int = 1, scheme: str = "light", scripts: bool = True
    ) -> Reviewer:
        context = chromium.new_context(
            viewport={"width": width, "height": 900 // scale},
            device_scale_factor=scale,
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=scripts,
        )
        contexts.append(context)
        context.set_default_timeout(PATIENCE_MS)
        return Reviewer(context, path_of(store), plain=not scripts)

    yield opening
    for context in contexts:
        context.close()


def fill_all(reviewer: Reviewer) -> None:
    """Answer all four questions of the review, with all that a reply in text can say too."""
    reviewer.choose("1.letter", "C")
    reviewer.choose("1.left_out", "7K3G")
    reviewer.write("1.words", "Hidden once\nbuilt in")
    reviewer.write("1.concession.quantity", "500")
    reviewer.write("1.concession.lots", "4711, 4712")
    reviewer.write("1.concession.until", "2026-05-01")
    reviewer.write("1.concession.reference", "DEV-118")
    reviewer.page.select_option("[name='1.looked_at']", "piece in hand")
    reviewer.choose("2.letter", "B")
    reviewer.write("2.words", "the rim can be felt")
    reviewer.page.select_option("[name='2.keep.7K3G']", "first bad")
    reviewer.choose("3.letter", "A")
    reviewer.write("3.limit.limit", "0.15 mm")
    reviewer.write("3.limit.condition", "at 20x, ring light")
    reviewer.page.select_option("[name='3.limit.holds']", "this trial only")
    reviewer.write("4.words", "The flange is bonded")
