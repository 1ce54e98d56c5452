"""The one file of a sent review: complete, the same every time, and what anybody wrote in it stays text."""

import os
import re
import shutil
import subprocess
import sys
from base64 import b64encode
from collections.abc import Iterator
from hashlib import sha256
from html.parser import HTMLParser
from pathlib import Path

import pytest
from PIL import Image

from portal import resources
from portal.model.shown import Shown
from portal.problem import PortalError
from portal.site import onefile
from portal.site.embed import MOST_SMALL
from portal.site.onefile import held_by, one_file
from tests.site.sentreview import Store

HOSTILE = '</script></style><script>document.title="gone"</script>"\'><img src=x onerror=alert(1)> {{ 7*7 }} \u05d0'
ROOT = Path(__file__).parents[2]


class Read(HTMLParser):
    """What a browser would make of it: elements with their attributes, texts, raw contents of script and style."""

    def __init__(self, page: bytes) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.texts: list[str] = []
        self.inside: list[tuple[str, str]] = []
        self._open = ""
        self.feed(page.decode("utf-8"))
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.append((tag, {name: value or "" for name, value in attrs}))
        self._open = tag if tag in {"script", "style"} else ""

    def handle_endtag(self, tag: str) -> None:
        self._open = ""

    def handle_data(self, data: str) -> None:
        if self._open:
            self.inside.append((self._open, data))
        else:
            self.texts.append(data)

    def all(self) -> str:
        """Every text and every attribute, blanks made one."""
        said = [*self.texts, *(value for _, attrs in self.elements for value in attrs.values())]
        return " ".join(" ".join(said).split())


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Store:
    """A small review."""
    return Store(tmp_path_factory.mktemp("store"))


def made(store: Store, **more: bool) -> bytes:
    """Its one file."""
    return one_file(store.shown, held_by(store.shown, store.pictures), sent=store.sent, **more)


def texts_of(data: object, *, key: str = "") -> Iterator[str]:
    """Every text that somebody is to read, of plain data of a `Shown`."""
    untold = {"rests_on", "said", "sha256", "ask", "basis", "d", "kind", "aspect", "picture", "whole", "language",
              "unit", "customer_id", "defect_id", "format", "due", "text", "prose", "note"}  # fmt: skip
    if isinstance(data, dict):
        for name, value in data.items():
            if name not in untold:
                yield from texts_of(value, key=name)
    elif isinstance(data, list | tuple):
        for value in data:
            yield from texts_of(value, key=key)
    elif isinstance(data, str):
        yield data


def test_every_text_that_the_review_showed_stands_in_it(store: Store) -> None:
    """Sentences, names, questions, meanings of letters, criteria, cautions."""
    said = Read(made(store)).all()
    wanted = [" ".join(each.split()) for each in texts_of(store.shown.plain())]
    assert len(wanted) > 120
    assert [each for each in wanted if each not in said] == []
    for more in ("Dark particle in the surface.", "At the rim.", store.sent.digest, "4 March 2026", "11 March 2026"):
        assert more in said


def test_the_same_review_gives_the_same_bytes_in_every_process(store: Store, tmp_path: Path) -> None:
    """Under two seeds of Python's hashes, and again in this one."""
    (tmp_path / "shown.json").write_text(store.shown.model_dump_json(exclude_none=True), encoding="utf-8")
    (tmp_path / "sent.json").write_text(store.sent.model_dump_json(), encoding="utf-8")
    program = (
        "import sys; from pathlib import Path; from hashlib import sha256\n"
        "from portal.model.shown import Sent, Shown; from portal.site.onefile import held_by, one_file\n"
        "here, kept = Path(sys.argv[1]), Path(sys.argv[2])\n"
        "shown = Shown.model_validate_json((here / 'shown.json').read_bytes())\n"
        "sent = Sent.model_validate_json((here / 'sent.json').read_bytes())\n"
        "held = held_by(shown, {each.stem: each for each in kept.glob('*.jpg')})\n"
        "made = one_file(shown, held, sent=sent)\n"
        "print(sha256(made).hexdigest())\n"
    )
    found = {sha256(made(store)).hexdigest()}
    for seed in ("1", "2"):
        ran = subprocess.run(
            [sys.executable, "-c", program, str(tmp_path), str(store.folder)],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(ROOT)},
            capture_output=True,
            text=True,
            check=True,
            timeout=120,
        )
        found.add(ran.stdout.strip())
    assert len(found) == 1


def test_hostile_texts_in_every_field_stay_text(tmp_path: Path) -> None:
    """The same elements as without them; no handler, no style of an element, nothing that is fetched."""
    page, plain = Read(made(Store(tmp_path, text=HOSTILE))), Read(made(Store(tmp_path)))
    assert [tag for tag, _ in page.elements] == [tag for tag, _ in plain.elements]
    for tag, attrs in page.elements:
        assert not [name for name in attrs if name.startswith("on") or name == "style"]
        assert tag not in {"iframe", "object", "embed", "link", "base", "img"}
        for name in ("href", "src", "xlink:href", "action", "formaction"):
            address = attrs.get(name, "#")
            assert address.startswith(("#", "data:image/jpeg;base64,", "mailto:m.vasquell@"))
    assert "{{ 7*7 }}" in page.all()


def test_the_policy_lets_run_exactly_the_one_script_and_the_one_style(store: Store) -> None:
    """Their SHA-256 is what the policy says, and data isn't executed."""
    page = Read(made(store))
    policy = next(attrs["content"] for tag, attrs in page.elements if attrs.get("http-equiv"))
    kinds = [attrs.get("type", "") for tag, attrs in page.elements if tag == "script"]
    assert [kind for kind in kinds if kind != "application/json"] == [""]
    assert [tag for tag, _ in page.elements].count("style") == 1
    style = next(data for tag, data in page.inside if tag == "style")
    script = page.inside[-1][1]
    assert policy == (
        f"default-src 'none'; script-src '{hashed(script)}'; style-src '{hashed(style)}'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def hashed(text: str) -> str:
    """As a policy writes it."""
    return "sha256-" + b64encode(sha256(text.encode()).digest()).decode()


def test_pictures_are_held_once_each_however_often_they_are_shown(store: Store) -> None:
    """What a card and an ask show is the same image; each address points at one that is there."""
    page = Read(made(store))
    held = {attrs["id"] for tag, attrs in page.elements if tag == "image"}
    used = [attrs["href"] for tag, attrs in page.elements if tag == "use" and attrs["href"].startswith("#p-")]
    assert held == {f"p-{sha}" for sha in store.pictures}
    assert {f"#{each}" for each in held} == set(used)


def test_small_and_large_reviews_stay_within_their_limits(tmp_path: Path) -> None:
    """Pictures of noise, the worst for JPEG: under 7 MB, and under 2.6 MB as a small one."""
    store = Store(tmp_path)
    kept = dict(store.pictures)
    shown = store.shown.plain()
    for number in range(18):
        noise = Image.effect_noise((1280 if number % 3 else 1600, 960), 40 + number).convert("RGB")
        path = tmp_path / f"{number}.jpg"
        noise.save(path, quality=92)
        sha = sha256(path.read_bytes()).hexdigest()
        kept[sha] = path
        shown["pictures"].append(
            {"sha256": sha, "width": noise.width, "height": 960, "name": "n.jpg", "whole": not number % 3}
        )
    large = Shown.model_validate(shown)
    assert sum(path.stat().st_size for path in kept.values()) > 7_000_000
    assert len(one_file(large, held_by(large, kept), sent=store.sent)) < 7_000_000
    assert len(one_file(large, held_by(large, kept, small=True), sent=store.sent)) < MOST_SMALL + 200_000


def test_a_picture_that_is_missing_or_was_changed_is_refused(tmp_path: Path) -> None:
    """A carrier never shows another picture than the review did."""
    store = Store(tmp_path)
    sha, path = next(iter(store.pictures.items()))
    with pytest.raises(PortalError, match="isn't kept"):
        held_by(store.shown, {})
    path.write_bytes(path.read_bytes() + b"x")
    with pytest.raises(PortalError, match="its bytes were changed"):
        made(store)
    assert re.fullmatch(r"[0-9a-f]{64}", sha)


def test_no_file_of_ours_can_end_the_element_that_holds_it(
    store: Store, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nobody writes a script's end into a script and has the rest of it stand in the page as text."""
    shutil.copytree(resources.templates(), tmp_path / "templates")
    script = tmp_path / "templates" / onefile._SCRIPT[0]
    script.write_text(script.read_text(encoding="utf-8") + "\n// </script>\n", encoding="utf-8")
    monkeypatch.setattr(resources, "templates", lambda: tmp_path / "templates")
    monkeypatch.setattr(onefile, "_inline", onefile._inline.__wrapped__)  # what was read before isn't read again
    with pytest.raises(ValueError, match=f"{onefile._SCRIPT[0]}.*could end the element"):
        made(store)
