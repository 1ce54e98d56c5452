"""The style and the scripts of a site, named by their content, and the policy of its pages."""

from functools import cache
from hashlib import sha256

from portal import resources
from portal.site.address import asset
from portal.site.inputs import Page
from portal.site.lean import lean_style
from portal.site.paper import Paper

CSP = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; media-src 'self'; "
    "base-uri 'none'; form-action 'none'"
)
STYLE, REFERENCE_STYLE = "style.css", "reference.css"
VIEWER_SCRIPT, LAY_SCRIPT, SEARCH_SCRIPT = "viewer.js", "lay.js", "search.js"
GEOMETRY, LAYERS = "geometry.js", "layers.js"
_MADE_OF: dict[str, tuple[str, ...]] = {name: (name,) for name in (STYLE, REFERENCE_STYLE, LAY_SCRIPT, SEARCH_SCRIPT)}
_MADE_OF[VIEWER_SCRIPT] = (GEOMETRY, LAYERS, VIEWER_SCRIPT)


def static() -> tuple[Page, ...]:
    """All of these files."""
    return tuple(_static().values())


def static_path(name: str) -> str:
    """Where one of them lies in the site."""
    return _static()[name].path


def statics() -> dict[str, str]:
    """What templates call them, and where they lie; a page names those only that it needs."""
    return {
        "style": static_path(STYLE),
        "reference_style": static_path(REFERENCE_STYLE),
        "viewer_script": static_path(VIEWER_SCRIPT),
        "lay_script": static_path(LAY_SCRIPT),
        "search_script": static_path(SEARCH_SCRIPT),
    }


@cache
def _static() -> dict[str, Page]:
    found = {}
    for name, parts in _MADE_OF.items():
        body = b"".join(_read(each) for each in parts)
        stem, _, ending = name.partition(".")
        found[name] = Page(asset(f"{stem}-{sha256(body).hexdigest()[:12]}.{ending}"), Paper(body))
    return found


def _read(name: str) -> bytes:
    """One of our own files, a style without what only its writers read."""
    body = (resources.templates() / name).read_bytes()
    return lean_style(body.decode("utf-8")).encode("utf-8") if name.endswith(".css") else body
