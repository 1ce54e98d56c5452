"""Pages as they come out: complete, linked, escaped, and the same words on the page as in the verdict."""

import re
from html.parser import HTMLParser
from posixpath import dirname, join, normpath
from urllib.parse import unquote

import pytest

from portal.model.picture import PictureUnreadable
from portal.site.plan import plan
from portal.site.render import render
from portal.site.static import CSP
from tests.site.conftest import Built
from tests.site.specimen import catalogue, read_site

REVIEW = "parts/PR-20/M-7-T2.html"


class Seen(HTMLParser):
    """Elements with attributes, text, and identifiers of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[tuple[str, dict[str, str]]] = []
        self.words: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.elements.append((tag, {name: value or "" for name, value in attrs}))

    def handle_data(self, data: str) -> None:
        """Note some text."""
        self.words.append(data)

    @property
    def text(self) -> str:
        """All text, blanks made one."""
        return re.sub(r"\s+", " ", "".join(self.words))


def links_of(seen: Seen) -> list[str]:
    """Every address that a page names."""
    return [value for _, attrs in seen.elements for name, value in attrs.items() if name in {"href", "src"}]


def test_every_address_leads_to_a_file_or_an_anchor_that_is_there(built: Built) -> None:
    """Links are relative, percent-encoded once, and whole, also to a picture named `#1 %41`."""
    pages = {path: Seen(built.text(path)) for path in built.pages if path.endswith(".html")}
    ids = {path: {attrs["id"] for _, attrs in seen.elements if "id" in attrs} for path, seen in pages.items()}
    for path, seen in pages.items():
        for address in links_of(seen):
            target, _, anchor = address.partition("#")
            file = normpath(join(dirname(path), unquote(target))) if target else path
            assert (built.out / file).is_file(), (path, address)
            assert not anchor or anchor in ids[file], (path, address)


def test_no_page_has_styles_or_handlers_in_its_markup_and_each_has_the_policy(built: Built) -> None:
    """The policy forbids both, so either would be dead on arrival."""
    for path in (each for each in built.pages if each.endswith(".html")):
        seen = Seen(built.text(path))
        policies = [attrs["content"] for tag, attrs in seen.elements if attrs.get("http-equiv")]
        assert policies == [CSP]
        for tag, attrs in seen.elements:
            assert not [name for name in attrs if name == "style" or name.startswith("on")], (path, tag, attrs)


def test_headings_go_down_one_level_at_a_time_from_a_single_first(built: Built) -> None:
    """A screen reader's outline has no holes."""
    for path in (each for each in built.pages if each.endswith(".html")):
        levels = [int(tag[1]) for tag, _ in Seen(built.text(path)).elements if re.fullmatch("h[1-6]", tag)]
        assert levels[0] == 1 and levels.count(1) == 1, path
        assert all(after <= before + 1 for before, after in zip(levels, levels[1:], strict=False)), (path, levels)


def test_the_front_page_comes_last(built: Built) -> None:
    """Whoever reads it finds everything that it names."""
    assert list(built.pages)[-1] == "index.html"


def test_cards_come_worst_first_and_say_each_word(built: Built) -> None:
    """Does not conform, undecided, not judged; what conforms is told in short."""
    text = built.text(REVIEW)
    anchors = re.findall(r'class="card( short)?" id="f-(\w+)"', text)
    assert [name for _, name in anchors] == ["7K3H", "7K3F", "7K3J", "7K3K", "7K3G"]
    assert [bool(short) for short, _ in anchors] == [False, False, False, False, True]
    for word in ("Does not conform.", "Undecided.", "Not judged.", "Conforms."):
        assert word in Seen(text).text


def test_a_ruler_says_up_to_where_a_value_is_called_conforming(built: Built) -> None:
    """The acceptance limit stands beside the ruler and is the one of the sentence."""
    seen = Seen(built.text(REVIEW)).text
    assert "calls conforming up to 0.146 mm" in seen
    assert "it is called conforming from −0.046 mm to 0.146 mm" in seen


def test_a_finding_stands_between_last_good_and_first_bad_at_the_same_scale(built: Built) -> None:
    """All three drawings show a field of the same width and height in micrometres, whatever their pixels."""
    card = built.text(REVIEW).split('id="f-7K3F"')[1].split("</article>")[0]
    fields = [tuple(map(float, box.split()[2:])) for box in re.findall(r'class="pixels"[^>]*viewBox="([^"]+)"', card)]
    assert len(fields) == 3
    assert max(fields) == pytest.approx(min(fields), abs=0.011)
    assert re.findall(r"<figcaption>(Last good|<b>This part|First bad)", card) == [
        "Last good",
        "<b>This part",
        "First bad",
    ]


def test_a_picture_without_a_scale_says_so_and_has_no_bar(built: Built) -> None:
    """An unknown setting gives no scale; the reason stands on the page."""
    text = built.text("pictures/M-7/T2/c2_top.jpg.html")
    seen = Seen(text)
    assert "no scale: bench-1 has no setting unknown-zoom" in seen.text
    assert '"um":null' in text
    assert '<svg class="scale"' in text and "mm</text>" not in text


def test_what_is_missing_is_drawn_as_an_empty_frame(built: Built) -> None:
    """The first trial lacks the top view of three cavities and the gate of one."""
    assert built.text("parts/PR-20/M-7-T1.html").count('class="missing"') == 4


def test_hostile_texts_appear_as_text(hostile: Built) -> None:
    """Nothing that a person writes becomes markup, and nothing is worked out."""
    for path in (each for each in hostile.pages if each.endswith(".html")):
        seen = Seen(hostile.text(path))
        scripts = [attrs for tag, attrs in seen.elements if tag == "script"]
        assert all("src" in attrs or attrs.get("type") == "application/json" for attrs in scripts), path
        assert "<script>document" not in hostile.text(path)
        assert "49" not in re.findall(r"\{\{ 7\*7 \}\}|49", seen.text), path
    assert '<script>document.title="gone"</script><b>R&D</b> "<5 um"' in Seen(hostile.text(REVIEW)).text


def test_shop_notes_are_cleaned_markdown(built: Built) -> None:
    """Emphasis stays emphasis on the shop's own site."""
    assert "Drying time was <strong>short</strong>." in built.text(REVIEW)


def test_the_same_input_gives_the_same_bytes(built: Built) -> None:
    """A page depends on nothing but what it is given."""
    site = read_site(built.folder)
    assert plan(site) == plan(read_site(built.folder))
    first = {page.path: page.body for page in render(site, {}, {})}
    assert first == {page.path: page.body for page in render(read_site(built.folder), {}, {})}


def test_a_damaged_picture_leaves_its_pages_standing(built: Built) -> None:
    """Every page is there; the picture's says why it can't be shown, the card too."""
    site = read_site(built.folder)
    file = "moulds/M-7/trials/T2/images/c1_gate.jpg"
    pages = {
        page.path: page.body.decode() for page in render(site, {}, {file: PictureUnreadable("the file ends early")})
    }
    assert set(pages) == {path for path in built.pages if path.endswith(".html")}
    assert "the file ends early" in pages["pictures/M-7/T2/c1_gate.jpg.html"]
    assert "the file ends early" in pages[REVIEW]


def test_records_that_cannot_be_read_have_a_page_without_a_verdict(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Trial and part pages stay where they were and name file and line; the front page lists them."""
    folder = catalogue(tmp_path_factory.mktemp("broken"))
    trial = folder / "moulds/M-7/trials/T2/trial.yaml"
    trial.write_text(trial.read_text(encoding="utf-8").replace("date: 2026-03-04", "date: soon"), encoding="utf-8")
    pages = {page.path: page.body.decode() for page in render(read_site(folder), {}, {})}
    assert "moulds/M-7/trials/T2/trial.yaml:3" in pages[REVIEW]
    assert 'class="verdict' not in pages[REVIEW]
    assert "moulds/M-7/trials/T2/trial.yaml:3" in pages["index.html"]
    (folder / "parts/PR-20/part.yaml").write_text("format: 1\n", encoding="utf-8")
    pages = {page.path: page.body.decode() for page in render(read_site(folder), {}, {})}
    assert "parts/PR-20/part.yaml" in pages["parts/PR-20/index.html"]
    assert 'class="verdict' not in pages["parts/PR-20/index.html"]


def test_a_page_names_no_style_and_no_script_but_those_it_needs(built: Built) -> None:
    """What a page doesn't use isn't fetched before it can be read."""
    named = {
        path: sorted(set(re.findall(r"assets/([a-z]+)-[0-9a-f]{12}\.(?:css|js)", built.text(path))))
        for path in (REVIEW, "index.html", "pictures/M-7/T2/c1_gate.jpg.html", "standards/house/3.html", "search.html")
    }
    assert list(named.values()) == [
        ["lay", "style"], ["style"], ["style", "viewer"], ["reference", "style"], ["reference", "search", "style"],
    ]  # fmt: skip


def test_rulers_are_light(built: Built) -> None:
    """Forty findings have eighty of them on a page that is to be read on a phone; their ticks are one line."""
    rulers = re.findall(r'<div class="gauge">.*?</div>', built.text(REVIEW), re.DOTALL)
    assert rulers
    assert all(each.count("<line") <= 2 + each.count("text-anchor") for each in rulers)


@pytest.mark.parametrize("path", [REVIEW, "parts/PR-20/index.html"])
def test_a_page_holds_the_outlines_of_a_view_once_and_fetches_no_map_before_it_comes_near(
    built: Built, path: str
) -> None:
    """However many cards show them; a picture of SVG would be fetched at once wherever it stands."""
    text = built.text(path)
    maps = re.findall(r'<svg class="map".*?</svg>', text, re.DOTALL)
    outlines = re.findall(r'<path id="z[^"]+"[^>]* d="([^"]+)"', text)
    assert len(maps) >= 2 and outlines and len(set(outlines)) == len(outlines)
    assert all("<use " in each and "<path" not in each for each in maps)
    assert all(re.findall(r"<im[^>]+>", each) == re.findall(r'<img[^>]* loading="lazy"[^>]*>', each) for each in maps)
    assert all(text.count(each) == 1 for each in outlines)
