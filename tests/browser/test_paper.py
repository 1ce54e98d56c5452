"""Paper isn't wasted: what stands beside each other on it."""

import re
from io import BytesIO
from itertools import pairwise

from pypdf import PdfReader

from tests.browser.conftest import Open
from tests.site.conftest import Built

AGAIN = re.compile(r"^[a-z ]+, finding (\w{4})$")
VERDICT = re.compile(r"(Conforms|Does not conform|Undecided|Not judged)\.")


def test_the_map_stands_beside_the_limit_samples(open_page: Open, built: Built) -> None:
    """In the room on their right, so that what is said has more of it, and two such cards fit on a page."""
    page = open_page(built, "parts/PR-20/M-7-T2.html").page
    page.set_viewport_size({"width": 703, "height": 900})
    page.emulate_media(media="print")
    card = page.locator("#f-7K3F")
    plates, zones, said = (
        card.locator(name).first.bounding_box() for name in (".plates", ".small-map", ".told .said .say")
    )
    assert plates and zones and said
    assert zones["x"] >= plates["x"] + plates["width"]
    assert plates["y"] <= zones["y"] < plates["y"] + plates["height"]
    assert said["y"] >= plates["y"] + plates["height"]
    assert said["width"] > 300


def test_what_a_finding_rests_on_may_go_to_the_next_page(open_page: Open, built: Built) -> None:
    """Its head, its picture and its verdict stay together; whose the rest is is said again above it."""
    page = open_page(built, "parts/PR-20/M-7-T2.html").page
    split = 0
    for room in (0, 70):
        page.evaluate("room => document.querySelector('.asks').style.setProperty('padding-bottom', `${room}mm`)", room)
        texts = [each.extract_text() for each in PdfReader(BytesIO(page.pdf(prefer_css_page_size=True))).pages]
        for text, following in pairwise(texts):
            begins = following.split(" only\n", 1)[1].split("\n", 1)[0]
            assert not begins.startswith(("Criterion", "Set condition", "Picture", "Found", "Uncertainty"))
            if again := AGAIN.search(begins):
                split += 1
                assert VERDICT.search(text[text.rindex(f"finding {again[1]}, piece") :])
    assert split


def test_what_is_said_below_a_limit_sample_stands_below_each_other(open_page: Open, built: Built) -> None:
    """Also two things and a button: their room is one row of the plates."""
    page = open_page(built, "parts/PR-20/M-7-T2.html").page
    figure = page.locator(".plates .limit").first
    tops: list[float] = figure.evaluate("""figure => {
      const below = figure.querySelector(':scope > .below');
      for (const words of ['Expired.', 'Replaced.']) {
        const warn = document.createElement('p');
        warn.className = 'warn'; warn.textContent = words; below.append(warn);
      }
      return [...figure.querySelectorAll('.field, .lay, .warn')].map(one => one.getBoundingClientRect())
        .flatMap(box => [box.top, box.bottom]);
    }""")
    assert len(tops) == 8 and tops == sorted(tops)
