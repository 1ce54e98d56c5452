"""Finding edges on the bench: the pictures last worked on are kept in memory, so that a search is quick."""

from collections import OrderedDict
from dataclasses import dataclass, field
from threading import Lock

import numpy as np
import numpy.typing as npt

from portal.assess.pixels import tighten
from portal.bench.bodies import Edges
from portal.bench.drawing import as_text, drawn_on, finding_of
from portal.bench.state import Bench
from portal.model.picture import PictureFacts
from portal.model.say import Say, Several
from portal.pictures.facts import read_bytes
from portal.pictures.upright import upright
from portal.problem import PortalError

KEPT = 2
"""A picture of 24 megapixels takes 24 MB."""


@dataclass
class Codes:
    """The grey codes of the last pictures, upright, by the digest of their files."""

    _known: "OrderedDict[str, npt.NDArray[np.uint8]]" = field(default_factory=OrderedDict)
    _lock: Lock = field(default_factory=Lock)

    def of(self, bench: Bench, file: str, facts: PictureFacts) -> npt.NDArray[np.uint8]:
        """A picture's codes; PortalError where it is damaged."""
        if facts.movie:
            raise PortalError("nothing is measured in a movie", hint="take a picture")
        with self._lock:
            if facts.sha256 not in self._known:
                image = upright(read_bytes(bench.folder / file), facts).image
                self._known[facts.sha256] = np.asarray(image.convert("L"))
                while len(self._known) > KEPT:
                    self._known.popitem(last=False)
            self._known.move_to_end(facts.sha256)
            return self._known[facts.sha256]


def find_edges(bench: Bench, codes: Codes, asked: Edges, *, language: str | None = None) -> dict[str, object]:
    """The shape with its points on the edges nearby, as a proposal, and in words what was found."""
    spot = bench.index.spot(asked.picture)
    own = drawn_on(spot, bench.facts, asked.shown)
    drawn = {"defect": "-", "zone": "-", "seen": "yes", "shapes": [asked.shape]}
    shape = finding_of(drawn, id_="0000", by="-", at="2000-01-01T00:00", frame=own.upright).shapes[0]
    made = tighten(shape, codes.of(bench, spot.picture.file, own))
    said = (
        Say.of("edge.found", found=made.found, n=made.of, u=f"{made.u_px:.2f}") if made.found else Say.of("edge.none")
    )
    speaker = bench.speaker(language)
    why = tuple(Say.of(f"edge.{each}") for each in made.refused)
    words = [speaker.say(said), *([speaker.say(Say.of("edge.why", why=Several(why)))] if why else [])]
    given = as_text(made.shape.given())
    return {"number": asked.number, "shape": given, "found": made.found, "said": " ".join(words)}
