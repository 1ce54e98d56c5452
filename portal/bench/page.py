"""The page as it is first sent: its words and who may inspect; the rest it asks for."""

import re
from functools import cache

from babel.messages.pofile import read_po

from portal import resources
from portal.bench.ids import LETTERS, SHAPE
from portal.bench.state import Bench
from portal.model.shop import Role
from portal.model.terms import Compared, Made, Seen, ShapeKind
from portal.site.typeset import typeset
from portal.site.words import po_files, speaks
from portal.web.files import TYPES

SCRIPTS = ("geometry.js", "layers.js", "draft.js")
SHARED = SCRIPTS[:2]
"""With the pages of a site."""
"""What the modules find there; `bench.js` is the module that imports the others."""
STYLES = ("style.css", "bench.css", "benchscale.css")
OTHER_STYLES = ("benchlabels.css",)
"""Of pages that stand by themselves."""
NAMES = {"en": "English", "de": "Deutsch"}
"""Languages as they call themselves."""
LANGUAGES = tuple(each for each in NAMES if speaks(each))


def static_files() -> dict[str, tuple[str, bytes]]:
    """The styles and scripts by name, each with its fixed type; nothing else of the folder."""
    folder = resources.templates()
    own = sorted((folder / "bench").glob("*.js"))
    files = (*(folder / name for name in (*STYLES, *OTHER_STYLES)), *(folder / name for name in SHARED), *own)
    return {each.name: (TYPES[each.suffix], each.read_bytes()) for each in files}


def page(bench: Bench, token: str, language: str | None) -> bytes:
    """The page in a language that there is."""
    speaker = bench.speaker(language)
    data = {
        "token": token,
        "engineers": [key for key, each in bench.catalogue.shop.people.items() if Role.ENGINEER in each.roles],
        "language": speaker.language,
        "ids": {"letters": LETTERS, "shape": SHAPE},
        "shapes": {kind.value: speaker.text(f"shape.{kind.value}") for kind in ShapeKind},
        "made": {made.value: speaker.text(f"made.{made.value}") for made in Made},
        "seen": {seen.value: speaker.text(f"bench.seen.{seen.value.replace(' ', '-')}") for seen in Seen},
        "compared": {each.value: speaker.text(f"bench.compared.{each.value.replace(' ', '-')}") for each in Compared},
        "words": {key.removeprefix("bench.js."): speaker.text(key, **_open(key)) for key in _keys()},
    }
    return typeset(
        "bench",
        speaker,
        here="",
        shop=bench.catalogue.shop.shop.name,
        people=[(key, each.name) for key, each in bench.catalogue.shop.people.items()],
        languages=[(each, NAMES[each]) for each in LANGUAGES if each != speaker.language],
        scripts=SCRIPTS,
        styles=STYLES,
        data=data,
    )


@cache
def _keys() -> dict[str, tuple[str, ...]]:
    """The messages that the script says, each with the names of its values."""
    found = []
    for path in po_files("en"):
        with path.open("rb") as file:
            found += [each for each in read_po(file, locale="en") if str(each.id).startswith("bench.js.")]
    return {str(each.id): tuple(re.findall(r"\{(\w+)\}", str(each.string))) for each in found}


def _open(key: str) -> dict[str, str]:
    """Values that the script fills in later."""
    return {name: f"{{{name}}}" for name in _keys()[key]}
