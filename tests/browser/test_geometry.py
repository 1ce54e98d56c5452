"""The viewer's geometry: image pixels in, screen pixels out, the corner is the origin on both sides; no page needed."""

from typing import Any

import pytest

from portal import resources
from tests.browser.conftest import Open
from tests.site.conftest import Built

PURE = (resources.templates() / "geometry.js").read_text(encoding="utf-8")


@pytest.fixture
def ask(open_page: Open, built: Built) -> Any:
    """Runs an expression with the geometry alone."""
    page = open_page(built, "index.html").page

    def run(expression: str) -> Any:
        return page.evaluate(
            f"() => {{ {PURE.replace(chr(34) + 'use strict' + chr(34) + ';', '')} return {expression}; }}"
        )

    return run


def test_the_geometry_knows_no_page() -> None:
    """It names neither document nor window."""
    code = PURE.split("*/", 1)[1]
    assert "document" not in code and "window." not in code


def test_there_and_back_is_the_same_point(ask: Any) -> None:
    """Also where a pixel is higher than wide."""
    view = "{x: 100, y: 50, zoom: 0.37, ratio: 1.02}"
    found = ask(f"PortalGeometry.toImage({view}, PortalGeometry.toScreen({view}, {{x: 1203.5, y: 844}}))")
    assert (found["x"], found["y"]) == (pytest.approx(1203.5), pytest.approx(844))


def test_the_images_corner_is_the_origin(ask: Any) -> None:
    """The first pixel's corner, not its middle."""
    assert ask("PortalGeometry.toScreen({x: 0, y: 0, zoom: 3, ratio: 1}, {x: 0, y: 0})") == {"x": 0, "y": 0}
    assert ask("PortalGeometry.toScreen({x: 0, y: 0, zoom: 3, ratio: 1}, {x: 1, y: 1})") == {"x": 3, "y": 3}


def test_zooming_keeps_the_point_under_the_pointer(ask: Any) -> None:
    """The wheel turns about the pointer."""
    size, image = "{width: 800, height: 600}", "{width: 4000, height: 3000}"
    before = "{x: 1000, y: 900, zoom: 0.5, ratio: 1}"
    at = "{x: 300, y: 200}"
    after = f"PortalGeometry.zoomAt({before}, {at}, 0.9, {size}, {image}, 8)"
    first, second = ask(f"PortalGeometry.toImage({before}, {at})"), ask(f"PortalGeometry.toImage({after}, {at})")
    assert (second["x"], second["y"]) == (pytest.approx(first["x"]), pytest.approx(first["y"]))


def test_the_picture_never_leaves_the_window(ask: Any) -> None:
    """Dragged far away it stops at its edge; smaller than the window it stands in the middle."""
    size, image = "{width: 800, height: 600}", "{width: 4000, height: 3000}"
    far = ask(f"PortalGeometry.pan({{x: 0, y: 0, zoom: 1, ratio: 1}}, -99999, 99999, {size}, {image})")
    assert (far["x"], far["y"]) == (3200, 0)
    wide = ask(f"PortalGeometry.fit({size}, {{width: 4000, height: 1000}}, 1)")
    assert wide["zoom"] == pytest.approx(0.2) and wide["y"] == pytest.approx(-1000)


def test_the_bar_is_the_longest_rung_of_at_most_half_the_view(ask: Any) -> None:
    """At 0.9 µm per pixel and zoom 0.5, 800 screen pixels see 1440 µm: the bar is 500 µm long."""
    rungs = '[[100, "0.1 mm"], [200, "0.2 mm"], [500, "0.5 mm"], [1000, "1 mm"]]'
    bar = ask(
        "PortalGeometry.bar({x: 0, y: 0, zoom: 0.5, ratio: 1}, {width: 800, height: 600}, "
        f"{{width: 4000, height: 3000}}, 0.9, {rungs})"
    )
    assert bar["label"] == "0.5 mm" and bar["px"] == pytest.approx(500 / 0.9 * 0.5)


def test_the_size_that_is_sharp_enough_is_chosen(ask: Any) -> None:
    """A quarter of the pixels while they suffice, all of them when drawn large or on a fine screen."""
    assert [ask(f"PortalGeometry.size({{zoom: {zoom}}}, {density}, [4, 2, 1])") for zoom, density in
            ((0.2, 1), (0.4, 1), (0.9, 1), (3, 1), (0.2, 2))] == [0, 1, 2, 2, 1]  # fmt: skip
