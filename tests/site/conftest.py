"""One site of the small catalogue for all tests of pages, and one with hostile texts."""

from dataclasses import dataclass
from pathlib import Path

import pytest

from portal.site.inputs import Page
from tests.site.specimen import build_site, catalogue

HOSTILE = '<script>document.title="gone"</script><b>R&D</b> "<5 um" \u05d0\u05d1\u05d2 {{ 7*7 }} javascript:alert(1)'


@dataclass(frozen=True)
class Built:
    """A site on disk, its pages in the order in which they came, and its catalogue."""

    out: Path
    pages: dict[str, Page]
    folder: Path

    def text(self, path: str) -> str:
        """A page as text."""
        return self.pages[path].body.decode("utf-8")


@pytest.fixture(scope="session")
def built(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The site of the small catalogue."""
    folder = catalogue(tmp_path_factory.mktemp("catalogue"))
    out = tmp_path_factory.mktemp("site")
    return Built(out, build_site(folder, out), folder)


@pytest.fixture(scope="session")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Built:
    """The same with hostile texts wherever a person writes."""
    folder = catalogue(tmp_path_factory.mktemp("hostile"), note=HOSTILE)
    _spoil(folder / "parts/PR-20/part.yaml", "name: Probe ring", HOSTILE)
    _spoil(folder / "moulds/M-7/trials/T2/trial.yaml", "stage: First-off after gate rework", HOSTILE)
    _spoil(folder / "moulds/M-7/trials/T2/trial.yaml", "changed: Gate inserts reworked", HOSTILE)
    _spoil(folder / "customers/orrel.yaml", "name: Orrelhaven Instruments", HOSTILE)
    out = tmp_path_factory.mktemp("hostile-site")
    return Built(out, build_site(folder, out), folder)


def _spoil(file: Path, line: str, text: str) -> None:
    old = file.read_text(encoding="utf-8")
    assert line in old
    quoted = text.replace("'", "''")
    file.write_text(old.replace(line, f"{line.split(':')[0]}: '{quoted}'"), encoding="utf-8")
