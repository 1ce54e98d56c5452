"""Addresses, direction marks, prose, and what an audience sees."""

import pytest

from portal.model.catalogue import Catalogue
from portal.model.shop import Shared, Shop, ShopName
from portal.site.address import Addresses, link
from portal.site.audience import may_show
from portal.site.bidi import FSI, PDI, isolated
from portal.site.prose import prose
from portal.site.typeset import named
from tests.site.conftest import Built
from tests.site.specimen import read_site


def test_addresses_are_relative_and_percent_encoded_once() -> None:
    """Each page points at its neighbours by itself, so that a folder works wherever it lies."""
    assert link("assets/a b#1.jpg", here="parts/x/index.html") == "../../assets/a%20b#1.jpg"
    assert link("parts/x/y.html#f-7K3F", here="parts/x/index.html") == "y.html#f-7K3F"
    assert link("index.html", here="index.html") == "index.html"
    assert link("assets/100%.jpg", here="index.html") == "assets/100%25.jpg"


def test_two_trials_whose_joined_names_meet_get_different_pages() -> None:
    """Mould `A` with trial `B-C` and mould `A-B` with trial `C` both read `A-B-C`."""
    shop = Shop(format=1, shop=ShopName(name="x"), time_zone="UTC", languages=("en",), people={})
    broken = {("trial", "A/B-C"): "a:1", ("trial", "A-B/C"): "b:1", ("trial", "M/T1"): "c:1"}
    addresses = Addresses(Catalogue(shop=shop, broken=broken))
    assert addresses.review("p", "A", "B-C") != addresses.review("p", "A-B", "C")
    assert addresses.review("p", "M", "T1") == "parts/p/M-T1.html"


def test_pictures_of_every_name_get_an_address(built: Built) -> None:
    """A name that is no slug is told apart by its hash."""
    addresses = Addresses(read_site(built.folder).catalogue)
    found = addresses.picture("moulds/M-7/trials/T2/images/c3_gate #1 %41.jpg")
    assert found is not None and found.startswith("pictures/M-7/T2/c3_gate-1-41.jpg-")
    assert addresses.picture("limit-samples/LS-0007/gate.jpg") is None


def test_right_to_left_text_is_set_apart_and_stray_marks_are_taken_out() -> None:
    """Plain text stays as it is."""
    assert isolated("plain") == "plain"
    assert isolated("\u202eplain") == "plain"
    assert isolated("\u05d0\u05d1") == f"{FSI}\u05d0\u05d1{PDI}"


@pytest.mark.parametrize(
    "text",
    [
        "[x](javascript:alert(1))",
        "[x](JaVaScRiPt&#58;alert(1))",
        "<img src=x onerror=alert(1)>",
        "![x](https://tracker.example/a.png)",
        "<a href='data:text/html,x'>x</a>",
        "<script>alert(1)</script>",
        "<p style='x' onclick='y'>z</p>",
    ],
)
def test_prose_lets_nothing_dangerous_through(text: str) -> None:
    """An allow-list of elements and of schemes, after Markdown."""
    clean = prose(text).lower()
    for bad in ("javascript", "<img", "<script", "data:", "onerror", "onclick", "style="):
        assert bad not in clean


def test_prose_keeps_emphasis_and_safe_links() -> None:
    """Headings begin below the page's own."""
    assert prose("**a**") == "<p><strong>a</strong></p>"
    assert 'href="https://a.example/"' in prose("[a](https://a.example/)")
    assert prose("# a") == "<h3>a</h3>"


def test_the_shop_sees_everything_and_a_customer_what_is_shared() -> None:
    """One place decides."""
    assert may_show(Shared.PRESS, audience="shop", shared=())
    assert not may_show(Shared.PRESS, audience="orrel", shared=(Shared.CHANGED,))
    assert may_show(Shared.CHANGED, audience="orrel", shared=(Shared.CHANGED,))


def test_names_in_a_message_are_told_apart_and_markup_stays_text() -> None:
    """What stands between backticks is a name as it is written in a file; an odd backtick is only itself."""
    assert named("`LS-1` was replaced by `<b>`") == "<code>LS-1</code> was replaced by <code>&lt;b&gt;</code>"
    assert named("a ` b & c") == "a ` b &amp; c"
