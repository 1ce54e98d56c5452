"""After any change to the sample an incremental build equals a clean one, byte for byte, for every audience."""

import json
import random
import re
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from portal.problem import PortalError
from portal.tasks import drawn
from portal.tasks.build import build
from portal.tasks.manifest import NAME
from tests.tasks.test_build import site
from tests.tasks.typed import typed

SAMPLE = Path(__file__).parents[2] / "sample_catalog"
AUDIENCES = ("shop", "drelvanne", "brindelaar")
CHANGES, TENTH = 50, 5
DAYS = (date(2026, 7, 1), date(2026, 7, 2))


class Catalogue:
    """A copy of the sample that is changed at random; what was changed in a file is taken back now and then."""

    def __init__(self, folder: Path, chance: random.Random) -> None:
        self.folder, self.chance, self.day = folder, chance, DAYS[0]
        self.before: dict[Path, bytes] = {}
        shutil.copytree(SAMPLE, folder, ignore=shutil.ignore_patterns("render", "site", "__pycache__", "*.py"))

    def files(self, *patterns: str) -> list[Path]:
        """Files of these patterns, in order."""
        return sorted(path for pattern in patterns for path in self.folder.glob(pattern))

    def change(self) -> str:
        """One change; what it was."""
        every: list[tuple[int, Callable[[], str]]] = [
            (8, self.a_tag), (6, self.a_record), (2, self.a_broken_line), (4, self.taken_back), (2, self.a_new_picture),
            (2, self.a_picture_less), (2, self.a_picture_renamed), (2, self.an_event), (1, self.another_day),
            (1, self.a_frame_less),
        ]  # fmt: skip
        return self.chance.choices([each for _, each in every], [weight for weight, _ in every])[0]()

    def _written(self, path: Path, content: bytes) -> str:
        self.before.setdefault(path, path.read_bytes())
        path.write_bytes(content)
        return path.relative_to(self.folder).as_posix()

    def _another_digit(self, path: Path) -> str:
        """Another digit, or a letter in another place, somewhere in a file."""
        content = bytearray(path.read_bytes())
        places = [n for n, each in enumerate(content) if 48 <= each <= 57 and n > 12]
        place = self.chance.choice(places)
        content[place] = 48 + (content[place] - 47) % 10
        return self._written(path, bytes(content))

    def a_tag(self) -> str:
        """A number of a tag."""
        return self._another_digit(self.chance.choice(self.files("moulds/*/trials/*/tags/*.yaml")))

    def a_record(self) -> str:
        """A number or a word of any other record: classes, criteria, people, limit samples, scopes, parts, trials."""
        others = ("catalog.yaml", "defects/*", "standards/*/*", "scopes/*.yaml", "limit-samples/*/sample.yaml",
                  "customers/*", "parts/*/part.yaml", "moulds/*/mould.yaml", "moulds/*/trials/*/*.yaml")  # fmt: skip
        path = self.chance.choice(self.files(*others))
        content = path.read_bytes()
        if self.chance.random() < 0.5:
            return self._another_digit(path)
        words = [b" the ", b" a ", b" Test", b"Jo", b"name: ", b"customer"]
        word = self.chance.choice([each for each in words if each in content] or [b"\n"])
        return self._written(path, content.replace(word, word + b"x" if word != b"\n" else b"\n\n", 1))

    def a_broken_line(self) -> str:
        """A line that can't be read, or that a record can't do without, but for `catalog.yaml`."""
        records = ("defects/*", "standards/*/*", "parts/*/part.yaml", "moulds/*/mould.yaml", "moulds/*/trials/*/*.yaml")
        path = self.chance.choice(self.files(*records, "moulds/*/trials/*/tags/*.yaml"))
        lines = path.read_bytes().split(b"\n")
        del lines[self.chance.randrange(1, len(lines))]
        return self._written(path, b"\n".join(lines))

    def taken_back(self) -> str:
        """A file is again what it was."""
        if not self.before:
            return "nothing"
        path = self.chance.choice(sorted(self.before))
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(self.before.pop(path))
        return f"{path.relative_to(self.folder)} as it was"

    def _picture(self) -> tuple[Path, Path]:
        tag = self.chance.choice(self.files("moulds/*/trials/*/tags/*.yaml"))
        return tag.parent.parent / "images" / tag.name.removesuffix(".yaml"), tag

    def a_new_picture(self) -> str:
        """A picture that nobody tagged yet."""
        image, _ = self._picture()
        if not image.is_file():
            return "nothing"
        shutil.copy(image, image.with_name(f"new-{self.chance.randrange(100)}-{image.name}"))
        return f"another {image.name}"

    def a_picture_less(self) -> str:
        """A picture goes, with its tag or without it."""
        for path in self._picture()[: self.chance.choice((1, 2))]:
            if path.is_file():
                self.before.setdefault(path, path.read_bytes())
                path.unlink()
        return "a picture less"

    def a_picture_renamed(self) -> str:
        """A picture and its tag have another name."""
        image, tag = self._picture()
        if image.is_file():
            image.rename(image.with_name(f"re-{image.name}"))
            tag.rename(tag.with_name(f"re-{tag.name}"))
        return f"{image.name} has another name"

    def an_event(self) -> str:
        """Somebody notes something about a trial."""
        trial = self.chance.choice(self.files("moulds/*/trials/*"))
        mould = trial.parent.parent
        part = re.findall(r"part: ([\w-]+)", (mould / "mould.yaml").read_text(encoding="utf-8"))[0]
        about = ("--part", part, "--trial", f"{mould.name}/{trial.name}", "--by", "m-vasquell")
        shared = "--shared" if self.chance.random() < 0.5 else "--shop"
        told = typed("note", self.folder, "--comment", "seen again", shared, *about)
        return f"an event of {part} ({told.code}): {told.out}{told.err}"

    def another_day(self) -> str:
        """The site is built as of the other day."""
        self.day = DAYS[1 - DAYS.index(self.day)]
        return str(self.day)

    def a_frame_less(self) -> str:
        """Nobody looked after all."""
        found = self.files("moulds/*/trials/*/looked/*.yaml")
        if found:
            path = self.chance.choice(found)
            self.before.setdefault(path, path.read_bytes())
            path.unlink()
        return "a frame less"


def made(folder: Path, audience: str, out: Path, day: date) -> dict[str, bytes] | str:
    """The site, or why it was refused."""
    try:
        build(folder, out=out, as_of=day, processes=1, audience=audience)
    except PortalError as error:
        return str(error)
    return site(out)


def clean(
    folder: Path, audience: str, out: Path, day: date, *, kept: Path, caches: pytest.MonkeyPatch
) -> dict[str, bytes] | str:
    """The same of a folder in which nothing is but derived pictures, without anything that was judged before."""
    shutil.rmtree(out, ignore_errors=True)
    if kept.is_dir():
        shutil.copytree(kept, out, ignore=lambda _, names: [each for each in names if each.endswith(".html")])
        drawn.forget(out)
        head, *noted = (out / NAME).read_text(encoding="utf-8").splitlines(keepends=True)
        rest = [line for line in noted if not line.startswith("input")]
        (out / NAME).write_text(
            "".join((json.dumps(json.loads(head) | {"options": {}}), "\n", *rest)), encoding="utf-8"
        )
    with caches.context() as patch:
        patch.setenv("PORTAL_CACHE", str(out.parent / f"cache-{random.random()}"))
        return made(folder, audience, out, day)


def run(tmp_path: Path, numbers: range, monkeypatch: pytest.MonkeyPatch) -> None:
    """Change by change, each audience in turn and the shop always."""
    for start in numbers:
        chance = random.Random(start)
        catalogue = Catalogue(tmp_path / f"c{start}", chance)
        told: list[str] = []
        for step in range(TENTH):
            told.append(catalogue.change() if step else "as it is")
            for audience in {"shop": None, AUDIENCES[step % 3]: None}:
                out = tmp_path / f"{audience}-{start}"
                built = made(catalogue.folder, audience, out, catalogue.day)
                fresh = clean(
                    catalogue.folder, audience, tmp_path / "clean", catalogue.day, kept=out, caches=monkeypatch
                )
                if isinstance(built, str) or isinstance(fresh, str):
                    assert built == fresh, told
                else:
                    assert built.keys() == fresh.keys(), told
                    assert [path for path in built if built[path] != fresh[path]] == [], told
        shutil.rmtree(catalogue.folder)


def test_some_changes_of_the_sample(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A few changes, one upon the other."""
    run(tmp_path, range(1), monkeypatch)


@pytest.mark.long
def test_many_changes_of_the_sample(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ten times as many."""
    run(tmp_path, range(CHANGES // TENTH), monkeypatch)


def test_a_page_that_would_hold_is_searched_for_a_new_customers_name(tmp_path: Path) -> None:
    """Nothing of this customer's changed, but a word on their pages has become another customer's name."""
    catalogue = Catalogue(tmp_path / "c", random.Random(0))
    trial = catalogue.folder / "moulds/M-118/trials/T1/trial.yaml"
    trial.write_bytes(trial.read_bytes().replace(b'place: "', b'place: "Zugzwangia, ', 1))
    out = tmp_path / "out"
    assert isinstance(made(catalogue.folder, "brindelaar", out, DAYS[0]), dict)
    other = catalogue.folder / "customers/drelvanne.yaml"
    other.write_text(re.sub(r"(?m)^name: .*", "name: Zugzwangia", other.read_text(encoding="utf-8")), encoding="utf-8")
    refused = made(catalogue.folder, "brindelaar", out, DAYS[0])
    assert isinstance(refused, str) and "another customer's" in refused
