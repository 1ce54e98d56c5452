"""The one place where a person's Markdown becomes markup: rendered, then cleaned by an allow-list."""

import nh3
from markdown import markdown
from markupsafe import Markup

_TAGS = {"p", "br", "em", "strong", "ul", "ol", "li", "blockquote", "code", "pre", "h3", "h4", "table", "thead",
         "tbody", "tr", "th", "td", "a", "sub", "sup"}  # fmt: skip
_SCHEMES = {"http", "https", "mailto"}


def prose(text: str) -> Markup:
    """Clean markup of some Markdown; headings begin at the third level, pictures and raw scripts are dropped."""
    raw = markdown(text, extensions=["tables"], output_format="html")
    for level, to in (("h1", "h3"), ("h2", "h4")):
        raw = raw.replace(f"<{level}>", f"<{to}>").replace(f"</{level}>", f"</{to}>")
    return Markup(
        nh3.clean(
            raw,
            tags=_TAGS,
            attributes={"a": {"href"}},
            url_schemes=_SCHEMES,
            link_rel="noopener noreferrer nofollow",
        )
    )
