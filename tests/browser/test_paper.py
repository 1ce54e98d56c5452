"""Paper isn't wasted: what stands beside each other on it."""

from tests.browser.conftest import Open
from tests.site.conftest import Built


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
