"""An address from one page to another leads there, as a browser resolves it."""

from urllib.parse import quote, unquote, urljoin

import pytest

from portal.site.address import link

PAGES = ("index.html", "search.html", "parts/P 1/index.html", "parts/ä%b/reviews/T1-0000/index.html", "assets/a'b&.jpg")
HERE = "http://site.example/top/"


@pytest.mark.parametrize("here", PAGES)
@pytest.mark.parametrize("target", PAGES)
@pytest.mark.parametrize("anchor", ["", "#f-7K3F", "#k-ä b"])
def test_a_link_leads_to_its_target(here: str, target: str, anchor: str) -> None:
    """By the rules of RFC 3986, as the standard library has them; nothing in it needs to be coded any more."""
    made = link(target + anchor, here=here)
    led = urljoin(HERE + quote(here), made)
    assert unquote(led, errors="strict") == HERE + target + anchor
    assert made.isascii() and not set(made) & set(" '\"<>&")
