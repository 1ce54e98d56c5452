"""What pictures that hang together want is known from the last build as long as all is the same that it rests on."""

import hashlib
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from portal.model.terms import SHOP
from portal.tasks import drawn, manifest, pagekeys
from portal.tasks.audience import rules_of
from portal.tasks.build import build
from portal.tasks.gather import gather
from portal.tasks.handed import handed_over, site_input
from portal.tasks.inputs import Sizes
from portal.tasks.lines import Aside
from portal.tasks.pagekeys import PageKeys
from portal.tasks.publish import ASSETS
from portal.tasks.wants import ClusterWants, OfLast
from tests.pictures.make import png
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_strange_pictures import pages_headed
from tests.tasks.two import change

DAY = date(2026, 3, 1)
TOP, GATE = f"{TRIAL}/images/c1_top.jpg", f"{TRIAL}/images/c1_gate.jpg"


@pytest.fixture
def built(tmp_path: Path) -> Path:
    """A small catalogue with the shop's site."""
    folder = small_catalogue(tmp_path / "c")
    build(folder, out=None, as_of=DAY, processes=1)
    return folder


def known(folder: Path, *, as_of: date = DAY, audience: str = SHOP) -> set[str]:
    """The pictures of which a build would know what they want."""
    out = folder / "site/shop"
    gathered = gather(folder)
    handed = handed_over(gathered, audience)
    site = site_input(handed, problems=(), audience=audience, as_of=as_of)
    keys = PageKeys(site, written=gathered.reading.digests, rules=rules_of(gathered, site))
    wants = ClusterWants(keys.wants(), drawn.load(out, site.facts).wants)
    return set(
        wants.holding(OfLast(manifest.load(out), Sizes(out / ASSETS)), homes=(), aside=Aside(folder / "aside"))[1]
    )


def test_nothing_changed_so_all_is_known(built: Path) -> None:
    """Of both pictures, and each file that their pages name is among it."""
    assert known(built) == {TOP, GATE}
    left = drawn.load(built / "site/shop", (TOP, GATE))
    keys = manifest.load(built / "site/shop")
    assert keys is not None
    named = {keys.derived[key]["name"] for each in left.wants.values() for many in each.files.values() for key in many}
    pages = {name for path, page in left.pages.items() if path.startswith("pictures/") for name, _ in page.assets}
    assert pages and pages <= named


def test_a_changed_tag_leaves_the_other_pictures_known(built: Path) -> None:
    """What hangs together with nothing else is worked out alone."""
    change(built, f"{TRIAL}/tags/c1_top.jpg.yaml", "zone: B", "zone: C")
    assert known(built) == {GATE}


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("scopes/bench-1.yaml", "2026-01-05", "2026-01-06"),
        ("moulds/M-001/mould.yaml", "status: running", "status: blocked, reason: worn"),
        ("standards/looks/1.yaml", "background: matt grey", "background: black"),
        ("parts/P-0001/part.yaml", "POM natural", "POM black"),
    ],
)
def test_what_pictures_share_is_in_the_key(file: str, old: str, new: str, built: Path) -> None:
    """Nothing is known any more."""
    change(built, file, old, new)
    assert known(built) == set()


def test_what_no_record_says_is_not(built: Path) -> None:
    """A key of a person's own, which nobody reads."""
    change(built, "scopes/bench-1.yaml", "format: 1\n", "format: 1\nx-ours: 1\n")
    assert known(built) == {TOP, GATE}


def test_another_day_reader_or_program_knows_nothing(built: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """All that a page or card is drawn from is in the key."""
    assert known(built, as_of=date(2026, 3, 2)) == set()
    assert known(built, audience="vellorin") == set()
    monkeypatch.setattr(pagekeys, "program_key", lambda: "another")
    assert known(built) == set()


def test_another_picture_under_the_name_is_seen(built: Path) -> None:
    """Its bytes are in the key, whatever its tag says."""
    (built / TOP).write_bytes((built / TOP).read_bytes() + b"\0")
    assert known(built) == {GATE}


def test_a_derived_file_that_is_gone_or_cut_short_is_seen(built: Path) -> None:
    """What shows it is worked out anew, the file is made again, and the site is as before."""
    assets = built / "site/shop" / ASSETS
    before = {path.name: hashlib.sha256(path.read_bytes()).digest() for path in assets.iterdir()}
    left = manifest.load(built / "site/shop")
    assert left is not None
    crop = next(each["name"] for each in left.derived.values() if "box" in each["want"])
    (assets / crop).write_bytes(b"")
    assert len(known(built)) == 1
    (assets / crop).unlink()
    assert len(known(built)) == 1
    change(built, f"{TRIAL}/tags/c1_top.jpg.yaml", "10:15", "10:16")
    build(built, out=None, as_of=DAY, processes=1)
    assert {path.name: hashlib.sha256(path.read_bytes()).digest() for path in assets.iterdir()} == before


def test_what_was_made_again_is_noted_as_it_is_by_then(built: Path) -> None:
    """Not with the size that the file had when the build began: else the next build would draw its pages anew."""
    assets = built / "site/shop" / ASSETS
    for path in assets.glob("*.jpg"):
        path.write_bytes(path.read_bytes()[:-1])
    change(built, f"{TRIAL}/tags/c1_top.jpg.yaml", "10:15", "10:16")
    build(built, out=None, as_of=DAY, processes=1)
    noted = {file for left in drawn.load(built / "site/shop", ()).pages.values() for file in left.assets}
    assert noted and noted == {(name, (assets / name).stat().st_size) for name, _ in noted}


def test_of_a_picture_that_could_not_be_decoded_nothing_is_known(built: Path) -> None:
    """The next build tries again, and says so again."""
    content = bytearray(png(np.random.default_rng(4).integers(0, 65535, (60, 80, 3), dtype=np.uint16)))
    content[len(content) // 2] ^= 0xFF
    (built / TRIAL / "images/bad.png").write_bytes(content)
    first, (page,) = build(built, out=None, as_of=DAY, processes=1), pages_headed(built, "bad.png")
    assert "bad.png: can't be shown" in first.said
    assert known(built) == {TOP, GATE}
    change(built, f"{TRIAL}/tags/c1_top.jpg.yaml", "10:15", "10:16")
    assert build(built, out=None, as_of=DAY, processes=1).said == first.said
    assert pages_headed(built, "bad.png") == [page]
