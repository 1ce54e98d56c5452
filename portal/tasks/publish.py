"""Writes a site so that at every moment each page is complete and all it names exists.

Order: pictures (already there, named by their content), static files, pages, the front page last, the
manifest, and only then what has no source any more goes.
"""

import os
from collections.abc import Iterable
from pathlib import Path

from portal.problem import PortalError
from portal.tasks import manifest as manifests
from portal.tasks.manifest import JOURNAL, NAME, TEMPORARY, Manifest

ASSETS = "assets"


def open_site(out: Path, audience: str) -> Manifest | None:
    """The manifest of a folder that may be written for that audience; a folder that isn't ours is refused."""
    known = manifests.load(out)
    if known is not None:
        if known.audience != audience:
            raise PortalError(
                f"{out} holds a site for `{known.audience}`, this build is for `{audience}`",
                hint="name another folder with --out",
            )
        return known
    if out.exists() and not out.is_dir():
        raise PortalError(f"{out} is a file, not a folder", hint="name another folder with --out")
    if out.is_dir() and not (out / JOURNAL).exists() and any(out.iterdir()):
        raise PortalError(f"{out} is not empty and no site of ours", hint="name an empty or a new folder with --out")
    return None


class Writer:
    """Writes files below a site's folder and remembers which; a path it never wrote before is journalled first."""

    def __init__(self, out: Path, known: Manifest | None) -> None:
        self.out = out
        self.is_new = known is None
        self.had_journal = (out / JOURNAL).exists()
        self.before = set(known.outputs if known else ())
        self.ours = self.before | manifests.journal(out)
        self.written: set[str] = set()
        self.changed = 0
        out.mkdir(parents=True, exist_ok=True)
        (out / ASSETS).mkdir(exist_ok=True)
        (out / JOURNAL).touch()

    def claim(self, paths: Iterable[str]) -> None:
        """Note paths as ours before they are written."""
        new = [path for path in paths if path not in self.ours]
        if new:
            with (self.out / JOURNAL).open("a", encoding="utf-8") as file:
                file.writelines(f"{path}\n" for path in new)
                file.flush()
                os.fsync(file.fileno())
            self.ours.update(new)

    def keep(self, path: str) -> None:
        """Count a file that is there already as part of the site."""
        self.claim([path])
        self.written.add(path)

    def write(self, path: str, body: bytes) -> None:
        """Write one file unless the same bytes are there."""
        self.keep(path)
        target = self.out / path
        try:
            if target.stat().st_size == len(body) and target.read_bytes() == body:
                return
        except OSError:
            target.parent.mkdir(parents=True, exist_ok=True)
        manifests.replace_file(self.out, path, body, durable=False)
        self.changed += 1

    def withdraw(self) -> None:
        """Take back what this build put there before it was refused; the published site stays as it was."""
        for path in sorted(self.written - self.before):
            (self.out / path).unlink(missing_ok=True)
        if not self.had_journal:
            (self.out / JOURNAL).unlink(missing_ok=True)
        for folder in (self.out / ASSETS, self.out) if self.is_new else ():
            if folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()

    def prune(self) -> int:
        """Remove what earlier builds wrote and this one didn't; files of others stay."""
        stale = sorted(self.ours - self.written)
        stale += [f"{ASSETS}/{name}" for name in _left_over(self.out / ASSETS, self.written)]
        stale += [path.name for path in self.out.glob(f"{TEMPORARY}*")]
        for path in stale:
            (self.out / path).unlink(missing_ok=True)
        for folder in sorted({(self.out / path).parent for path in stale}, key=lambda each: -len(each.parts)):
            while folder != self.out and folder.is_dir() and not any(folder.iterdir()):
                folder.rmdir()
                folder = folder.parent
        return len(stale)


_ENDINGS = {"jpg", "mp4", "webm", "mkv"}
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
