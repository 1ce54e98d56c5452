"""Writes a site so that at every moment each page is complete and all it names exists.

Order: pictures (already there, named by their content), static files, pages, the front page last, the
manifest, and only then what has no source any more goes.
"""

import contextlib
import os
import shutil
from collections.abc import Iterable
from pathlib import Path
from sys import intern

from portal.problem import PortalError
from portal.site.inputs import Page
from portal.site.paper import Paper
from portal.tasks import manifest as manifests
from portal.tasks.drawn import Drawn, forget
from portal.tasks.manifest import JOURNAL, NAME, TEMPORARY, Manifest

ASSETS = "assets"


def open_site(out: Path, known: Manifest | None, audience: str) -> None:
    """Refuse a folder that may not be written for that audience, or isn't ours; `known` is its manifest."""
    if known is not None:
        if known.audience != audience:
            raise PortalError(
                f"{out} holds a site for `{known.audience}`, this build is for `{audience}`",
                hint="name another folder with --out",
            )
        return
    if out.exists() and not out.is_dir():
        raise PortalError(f"{out} is a file, not a folder", hint="name another folder with --out")
    if out.is_dir() and not (out / JOURNAL).exists() and any(out.iterdir()):
        raise PortalError(f"{out} is not empty and no site of ours", hint="name an empty or a new folder with --out")


class Writer:
    """Writes files below a site's folder and remembers which; a path it never wrote before is journalled first."""

    def __init__(self, out: Path, known: Manifest | None, *, coming: bytes, left: Drawn) -> None:
        self.out = out
        self._coming, self._left = coming, left
        self.halves = out / f"{TEMPORARY}{os.getpid()}"
        self._ready: dict[str, Path] = {}
        self.is_new = known is None
        self.had_journal = (out / JOURNAL).exists()
        self.before = set(known.outputs if known else ())
        self.ours = self.before | manifests.journal(out)
        self.written: set[str] = set()
        self.changed = 0
        out.mkdir(parents=True, exist_ok=True)
        (out / JOURNAL).touch()
        (out / ASSETS).mkdir(exist_ok=True)

    def claim(self, paths: Iterable[str]) -> None:
        """Note paths as ours before they are written."""
        new = [path for path in paths if path not in self.ours]
        if new:
            self._journal(new)
            self.ours.update(new)

    def _journal(self, paths: Iterable[str]) -> None:
        with (self.out / JOURNAL).open("a", encoding="utf-8") as file:
            file.writelines(f"{path}\n" for path in paths)
            file.flush()
            os.fsync(file.fileno())

    def keep(self, *paths: str) -> None:
        """Count files that are there already as part of the site."""
        paths = tuple(map(intern, paths))  # the last build's are the same ones, mostly
        self.claim(paths)
        self.written.update(paths)

    def write(self, page: Page) -> None:
        """Make one file ready, to be seen once all are, unless the same bytes are there; none is left aside."""
        self.written.add(page.path)
        paper = page.paper
        with contextlib.suppress(OSError):
            if _is(self.out / page.path, paper):
                if paper.file:
                    paper.file.unlink()
                return
        self.halves.mkdir(exist_ok=True)
        half = self.halves / str(len(self._ready))
        if paper.file:
            paper.file.replace(half)
        else:
            half.write_bytes(paper.held)
        self._ready[page.path] = half
        self.changed += 1

    def publish(self) -> None:
        """Put all that is ready where it belongs.

        Pages name each other, so where a page is new one that says so stands there before any other can name it.
        """
        self.claim(self.written)
        self.halves.mkdir(exist_ok=True)
        self._left.take_away(self.halves / "drawn")
        forget(self.out)
        for folder in {(self.out / path).parent for path in self._ready}:
            folder.mkdir(parents=True, exist_ok=True)
        for path in self._ready:
            if path.endswith(".html") and not (self.out / path).exists():
                manifests.replace_file(self.out, path, [self._coming], durable=False)
        for path, half in self._ready.items():
            half.replace(self.out / path)
        stale = self.ours - self.written
        if stale:  # the manifest won't name them any more
            self._journal(sorted(stale))

    def withdraw(self) -> None:
        """Take back what this build put there before it was refused; the published site stays as it was."""
        shutil.rmtree(self.halves, ignore_errors=True)
        for path in sorted(self.written - self.before):
            (self.out / path).unlink(missing_ok=True)
        if not self.had_journal:
            (self.out / JOURNAL).unlink(missing_ok=True)
        for folder in (self.out / ASSETS, self.out) if self.is_new else ():
            if folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()

    def prune(self) -> int:
        """Remove what earlier builds wrote and this one didn't, and at last the journal; files of others stay.

        Pages that go name each other, and pictures: first all of them become pages that name nothing.
        """
        stale = sorted(self.ours - self.written)
        for path in stale:
            if path.endswith(".html") and (self.out / path).is_file():
                manifests.replace_file(self.out, path, [self._coming], durable=False)
        stale += [f"{ASSETS}/{name}" for name in _left_over(self.out / ASSETS, self.written)]
        for half in self.out.glob(f"{TEMPORARY}*"):
            shutil.rmtree(half, ignore_errors=True) if half.is_dir() else half.unlink(missing_ok=True)
        for path in stale:
            (self.out / path).unlink(missing_ok=True)
        for folder in sorted({(self.out / path).parent for path in stale}, key=lambda each: -len(each.parts)):
            while folder != self.out and folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()
                folder = folder.parent
        (self.out / JOURNAL).unlink(missing_ok=True)
        return len(stale)


def _is(target: Path, paper: Paper) -> bool:
    """Whether a file holds these bytes; looked at in runs, since a page may be large."""
    if target.stat().st_size != paper.size:
        return False
    with target.open("rb") as file:
        return all(file.read(len(run)) == run for run in paper.runs())


_ENDINGS = {"jpg", "json", "mp4", "webm", "mkv"}
"""Of derived files."""


def _left_over(assets: Path, written: set[str]) -> list[str]:
    """Derived pictures and temporary files in the assets' folder that this build doesn't name."""
    return [
        entry.name
        for entry in os.scandir(assets)
        if f"{ASSETS}/{entry.name}" not in written and (_is_derived(entry.name) or _is_half(entry.name))
    ]


def _is_half(name: str) -> bool:
    return name.startswith(".") and name.endswith(".tmp")


def _is_derived(name: str) -> bool:
    stem, _, ending = name.partition(".")
    return ending in _ENDINGS and len(stem) == 20 and all(letter in "0123456789abcdef" for letter in stem)


__all__ = ["ASSETS", "NAME", "Writer", "open_site"]
