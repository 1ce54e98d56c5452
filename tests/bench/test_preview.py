"""The review page beside the bench: the build's page for the customer, byte for byte, before anything is built.

But for the names of pictures: those of the bench aren't made yet when the page is, so it names them otherwise.
"""

import hashlib
import re
import shutil
import time
from datetime import date
from io import BytesIO
from pathlib import Path

import pytest
from PIL import Image

from portal import resources
from portal.bench import asking
from portal.bench.arrival import CALM_S
from portal.bench.bodies import Ask
from portal.bench.index import key_of, trial_key
from portal.bench.previewing import Previewing
from portal.bench.save import save
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.catalog.alone import tag_file
from portal.model.picture import PictureFacts
from portal.model.slug import slug
from portal.site.reuse import Markings
from portal.site.thread import Thread
from portal.tasks.build import build
from portal.tasks.keptcards import KeptCards
from portal.tasks.preview import Previews, Wanted
from portal.tasks.still import ASSET
from tests.bench.conftest import TOP, Client, vestige, wanted
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_deep import add_deep


def named_by_content(body: bytes, previews: Previews) -> bytes:
    """A page with each picture under the name that a build gives it; each is made for that."""

    def of(name: re.Match[bytes]) -> bytes:
        made = previews.picture(f"assets/{name[1].decode()}")
        return b"assets/" + made.name.encode() if made else name[0]

    return ASSET.sub(of, body)


def built(folder: Path, out: Path, customer: str, day: date) -> Path:
    """The customer's site."""
    assert build(folder, out=out, as_of=day, processes=1, audience=customer).out == out
    return out


def test_the_page_is_the_one_that_the_build_makes_after_what_was_drawn(bench: Bench, tmp_path: Path) -> None:
    """Its pictures too; a mask is black there before anything leaves."""
    save(bench, wanted(bench, TOP, finding=vestige("10.00,20.00 80.00,20.00")))
    masks = {"masks": ["5.00,5.00 60.00,5.00 60.00,60.00"]}
    save(bench, wanted(bench, TOP, what="masks", finding=masks))
    previews = Previews(bench.folder, tmp_path / "beside")
    page = previews.page(bench.catalogue, bench.facts, Wanted("M-001", "T1", "P-0001"), as_of=bench.today())
    assert not (tmp_path / "beside").exists()
    site = built(bench.folder, tmp_path / "site", "vellorin", bench.today())
    assert named_by_content(page.body, previews) == (site / page.path).read_bytes()
    named = ASSET.findall(page.body)
    assert len({*named}) >= 3
    for each in named:
        made = previews.picture(f"assets/{each.decode()}")
        assert made is not None and made.read_bytes() == (site / "assets" / made.name).read_bytes()


def test_what_the_last_pages_dont_show_is_taken_away(bench: Bench, tmp_path: Path) -> None:
    """A folder that would grow with every stroke."""
    previews, own = Previews(bench.folder, tmp_path / "beside"), Wanted("M-001", "T1", "P-0001")
    saved = save(bench, wanted(bench, TOP, finding=vestige("10.00,20.00 80.00,20.00")))
    counts = []
    for place in range(8):
        digest = sight_seen(bench, saved.id)
        moved = vestige(f"{10 + 9 * place}.00,20.00 {80 + 9 * place}.00,90.00")
        save(bench, wanted(bench, TOP, id=saved.id, seen=digest, finding=moved))
        page = previews.page(bench.catalogue, bench.facts, own, as_of=bench.today())
        assert all(previews.picture(f"assets/{each.decode()}") for each in ASSET.findall(page.body))
        counts.append(len(list((tmp_path / "beside").iterdir())))
    assert counts[-1] <= counts[2] + 1


def sight_seen(bench: Bench, id_: str) -> str:
    """The digest of a finding as the page has it."""
    found = sight(bench, key_of(TOP), bench.speaker())["findings"]
    assert isinstance(found, list)
    return str(next(each["seen"] for each in found if each["data"]["id"] == id_))


@pytest.mark.long
def test_every_page_of_the_sample_is_the_builds(tmp_path: Path) -> None:
    """With logs, sent reviews, closed matters, masks, inches and German."""
    folder = shutil.copytree(resources.sample(), tmp_path / "c", ignore=shutil.ignore_patterns("render"))
    bench = Bench(folder)
    previews = Previews(folder, tmp_path / "beside")
    sites: dict[str, Path] = {}
    for part in bench.catalogue.parts.values():
        customer = part.customer
        site = sites.get(customer) or built(folder, tmp_path / slug(customer), customer, bench.today())
        sites[customer] = site
        for mould, trial in bench.catalogue.trials_of(part.id):
            page = previews.page(bench.catalogue, bench.facts, Wanted(mould.id, trial.id, part.id), as_of=bench.today())
            assert named_by_content(page.body, previews) == (site / page.path).read_bytes(), page.path


def test_only_this_page_is_served_and_by_keys_alone(client: Client) -> None:
    """A path is looked up among what the page shows; another page of the site is none of it."""
    bench = Bench(client.folder)
    key = trial_key(next(bench.catalogue.trials())[1])
    frame = client.ask(f"/preview/{key}")
    assert frame.status == 200 and f"/preview/{key}/0/parts/P-0001/".encode() in frame.content
    page = client.ask(f"/preview/{key}/0/parts/P-0001/M-001-T1.html")
    assert page.status == 200 and b"Example collar" in page.content
    assert page.headers["content-security-policy"].endswith("frame-ancestors 'self'")
    assert page.headers["x-frame-options"] == "SAMEORIGIN"
    for path in (
        f"/preview/{key}/0/index.html", f"/preview/{key}/9/parts/P-0001/M-001-T1.html", f"/preview/{'0' * 20}",
        f"/preview/{key}/0/assets/../../../secret.jpg", f"/preview/{key}/0/assets/%2e%2e/secret.jpg",
        f"/preview/{key}/0/{TRIAL}/images/c1_gate.jpg", f"/preview/{key}/0/catalog.yaml",
    ):  # fmt: skip
        assert client.ask(path).status == 404, path


def test_a_question_that_wasnt_sent_yet_isnt_on_it_and_the_bench_says_so(bench: Bench, tmp_path: Path) -> None:
    """A customer's site leaves it out, and so does the page; what is around the page isn't the customer's."""
    words = "Is this the edge that you meant?"
    said = {"picture": key_of(TOP), "finding": "", "spot": "", "words": words, "by": "first-engineer"}
    asking.ask(bench, Ask.model_validate(said | {"due": "", "in_words": False, "as_it_is": False}))
    previewing, key = Previewing(bench, tmp_path / "beside"), key_of("M-001/T1")
    frame = previewing.frame(key, "de").decode()
    path = re.search(r'"pages":\["/preview/\w+/0/([^"]+)"', frame)
    assert path and words not in previewing.page(key, 0, path[1]).decode()
    assert "Eigene Fragen, die noch nicht gesendet sind, stehen nicht darauf" in frame
    assert "Questions of your own that aren&#39;t sent yet aren&#39;t on it" in previewing.frame(key, "en").decode()


def test_pictures_of_the_page_are_served(bench: Bench, tmp_path: Path) -> None:
    """By the addresses that stand in it."""
    own = Previewing(bench, tmp_path / "beside")
    key = trial_key(next(bench.catalogue.trials())[1])
    body = own.page(key, 0, "parts/P-0001/M-001-T1.html").decode("utf-8")
    names = {each.split('"')[0] for each in body.split('src="../../')[1:]}
    assert names
    for name in names - {each for each in names if own.picture(each)}:
        assert own.page(key, 0, name)
    assert any(own.picture(each) for each in names)


class Counting(KeptCards):
    """Notes which cards hold and which are drawn."""

    def __init__(self) -> None:
        super().__init__()
        self.drawn: list[str] = []
        self.held: list[str] = []

    def card(self, picture: str, finding: str, thread: Thread | None) -> Markings | None:
        """The same, noted."""
        found = super().card(picture, finding, thread)
        (self.held if found else self.drawn).append(finding)
        return found


def test_only_the_cards_of_what_changed_are_drawn_anew(bench: Bench, tmp_path: Path) -> None:
    """The page is the same as one that is drawn as a whole, and shows no picture that was taken away."""
    own = Wanted("M-001", "T1", "P-0001")
    previews, cards = Previews(bench.folder, tmp_path / "beside"), Counting()
    previews._cards[own] = cards
    saved = save(bench, wanted(bench, TOP, finding=vestige("10.00,20.00 80.00,20.00")))
    previews.page(bench.catalogue, bench.facts, own, as_of=bench.today())
    assert len(cards.drawn) > 1 and saved.id in cards.drawn and not cards.held
    others = {each for each in cards.drawn if each != saved.id}
    for place in range(5):
        cards.drawn.clear()
        cards.held.clear()
        moved = vestige(f"{11 + place}.00,20.00 90.00,20.00")
        save(bench, wanted(bench, TOP, id=saved.id, seen=sight_seen(bench, saved.id), finding=moved))
        page = previews.page(bench.catalogue, bench.facts, own, as_of=bench.today())
        assert saved.id in cards.drawn and cards.held and {*cards.drawn, *cards.held} == others | {saved.id}
    fresh = Previews(bench.folder, tmp_path / "fresh")
    assert page.body == fresh.page(bench.catalogue, bench.facts, own, as_of=bench.today()).body
    for name in {each.decode() for each in ASSET.findall(page.body)}:
        file = previews.picture(f"assets/{name}")
        assert (file is None) == (fresh.picture(f"assets/{name}") is None)
        assert file is None or file.is_file()
    scope = bench.folder / "scopes/bench-1.yaml"
    scope.write_text(scope.read_text(encoding="utf-8").replace("valid_until: 2", "valid_until: 1"), encoding="utf-8")
    assert not bench.reread()  # it can't be read so, and somebody may still be writing it
    time.sleep(CALM_S)
    assert bench.reread()
    cards.held.clear()
    page = previews.page(bench.catalogue, bench.facts, own, as_of=bench.today())
    assert not cards.held  # what all of them are judged by is another
    fresh = Previews(bench.folder, tmp_path / "anew")
    assert page.body == fresh.page(bench.catalogue, bench.facts, own, as_of=bench.today()).body


def test_a_picture_that_proves_damaged_is_told_by_the_next_page(bench: Bench, tmp_path: Path) -> None:
    """Its header is sound; that its pixels can't be decoded is found once somebody looks."""
    whole, buffer = (bench.folder / TOP).read_bytes(), BytesIO()
    Image.open(BytesIO(whole)).save(buffer, "PNG")
    damaged = bytearray(buffer.getvalue())
    damaged[len(damaged) // 2 : len(damaged) // 2 + 50] = bytes(50)
    (bench.folder / TOP).write_bytes(damaged)
    text = (bench.folder / tag_file(TOP)).read_text(encoding="utf-8")
    before, after = (hashlib.sha256(each).hexdigest() for each in (whole, damaged))
    (bench.folder / tag_file(TOP)).write_text(text.replace(before, after), encoding="utf-8")
    bench.refresh("M-001", "T1")
    own, key = Previewing(bench, tmp_path / "beside"), trial_key(next(bench.catalogue.trials())[1])
    path = "parts/P-0001/M-001-T1.html"
    first, version = own.page(key, 0, path), bench.version
    names = [each.decode() for each in dict.fromkeys(ASSET.findall(first))]
    lost = [each for each in names if own.picture(f"assets/{each}") is None]
    assert lost and len(lost) < len(names) and bench.version > version
    later, version = own.page(key, 0, path), bench.version
    assert later != first and not any(each.encode() in later for each in lost)
    assert all(own.picture(f"assets/{each.decode()}") for each in ASSET.findall(later))
    assert bench.version == version  # drawn anew once and not for ever
    site = built(bench.folder, tmp_path / "site", "vellorin", bench.today())
    assert named_by_content(later, own._previews) == (site / path).read_bytes()


def test_deep_pictures_are_shown_by_the_range_of_the_build(tmp_path: Path) -> None:
    """The brightest of a view lies in another trial than the one that is looked at."""
    folder = small_catalogue(tmp_path / "c")
    earlier = folder / TRIAL
    shutil.copytree(earlier, earlier.parent / "T2", ignore=shutil.ignore_patterns("*.jpg*"))
    add_deep(folder, "c1_dim.tif", 900, "top", mark=1)
    add_deep(folder, "c1_bright.tif", 3500, "top")
    for each in ("images/c1_bright.tif", "tags/c1_bright.tif.yaml"):
        shutil.move(earlier / each, earlier.parent / "T2" / each)
    bench = Bench(folder)
    assert all(isinstance(each, PictureFacts) and each.bits is None for each in map(bench.facts.get, pictures(bench)))
    previews = Previews(folder, tmp_path / "beside")
    site = built(folder, tmp_path / "site", "vellorin", bench.today())
    for trial in ("T1", "T2"):
        page = previews.page(bench.catalogue, bench.facts, Wanted("M-001", trial, "P-0001"), as_of=bench.today())
        assert named_by_content(page.body, previews) == (site / page.path).read_bytes()


def pictures(bench: Bench) -> list[str]:
    """The files of all trials."""
    return [each.file for _, trial in bench.catalogue.trials() for each in trial.pictures]
