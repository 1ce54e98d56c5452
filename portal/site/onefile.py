"""A sent review as one file, which a customer opens in any browser and answers in."""

from base64 import b64encode
from collections.abc import Mapping
from functools import cache
from hashlib import sha256
from pathlib import Path

from markupsafe import Markup

from portal import resources
from portal.model.shown import Sent, Shown
from portal.site.answerform import answer_form
from portal.site.embed import MOST, MOST_SMALL, embedded
from portal.site.lean import lean_style
from portal.site.redrawn import redrawn, speaker_of
from portal.site.typeset import typeset

_STYLE = ("style.css", "answer.css")
_SCRIPT = ("lay.js", "answer_file.js", "answer_form.js")


EXTRACTED = ("extracted.css", b".not-extracted { display: none; }\n")
"""The file beside a page that belongs in a folder: where it isn't found, the page says to extract the zip first."""


def held_by(shown: Shown, pictures: Mapping[str, Path], *, small: bool = False) -> dict[str, str]:
    """What the file holds of each of the review's pictures, by SHA-256; `pictures` are those of its store.

    PortalError where one of them is missing or was changed. `small` is for a mail that takes little.
    """
    return embedded(shown, pictures, most=MOST_SMALL if small else MOST)


def one_file(shown: Shown, held: Mapping[str, str], *, sent: Sent, in_folder: bool = False) -> bytes:
    """The file, the same for the same review, with the pictures that it holds.

    `in_folder` is for a zip, whose preview shows a page without what lies beside it.
    """
    speaker = speaker_of(shown)
    page = redrawn(shown, sent, speaker, lambda sha: f"#p-{sha}")
    style, script = _inline(_STYLE), _inline(_SCRIPT)
    return typeset(
        "onefile",
        speaker,
        here="review.html",
        page=page,
        form=answer_form(page, speaker),
        pictures=tuple(sorted(held.items())),
        csp=policy(style, script, in_folder=in_folder),
        beside=EXTRACTED[0] if in_folder else None,
        style=Markup(style),
        script=Markup(script),
    )


def policy(style: str, script: str, *, in_folder: bool = False) -> str:
    """What such a file may do: its one style, its one script, pictures that it holds, the style file beside it."""
    beside = " 'self'" if in_folder else ""
    return (
        f"default-src 'none'; script-src '{_hash(script)}'; style-src '{_hash(style)}'{beside}; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return "sha256-" + b64encode(sha256(text.encode("utf-8")).digest()).decode("ascii")


@cache
def _inline(names: tuple[str, ...]) -> str:
    """Files of ours as the content of one element; line ends are those that a browser counts."""
    texts = {name: (resources.templates() / name).read_text(encoding="utf-8") for name in names}
    text = "\n".join(lean_style(text) if name.endswith(".css") else text for name, text in texts.items())
    if "</" in text:
        raise ValueError(f"{', '.join(names)}: `</` could end the element")
    return text.replace("\r\n", "\n")
