"""The style and the scripts of a site, named by their content, and the policy of its pages."""

from functools import cache
from hashlib import sha256

from portal import resources
from portal.site.address import asset
from portal.site.inputs import Page

CSP = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; media-src 'self'; "
    "base-uri 'none'; form-action 'none'"
)
STYLE, SCRIPT, SEARCH_SCRIPT = "style.css", "viewer.js", "search.js"
GEOMETRY, LAYERS = "geometry.js", "layers.js"
_MADE_OF = {STYLE: (STYLE, "reference.css"), SCRIPT: (GEOMETRY, LAYERS, SCRIPT), SEARCH_SCRIPT: (SEARCH_SCRIPT,)}


def static() -> tuple[Page, ...]:
    """All of these files."""
    return tuple(_static().values())


def static_path(name: str) -> str:
    """Where one of them lies in the site."""
    return _static()[name].path


@cache
def _static() -> dict[str, Page]:
    found = {}
    for name, parts in _MADE_OF.items():
        body = b"".join((resources.templates() / each).read_bytes() for each in parts)
        stem, _, ending = name.partition(".")
        found[name] = Page(asset(f"{stem}-{sha256(body).hexdigest()[:12]}.{ending}"), body)
    return found
