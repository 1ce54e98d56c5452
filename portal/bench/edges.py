"""Finding edges on the bench: a proposal with words; nothing is written by it."""

from portal.assess.pixels import tighten
from portal.bench.bodies import Edges
from portal.bench.decoding import Decoding
from portal.bench.drawing import as_text, drawn_on, finding_of
from portal.bench.state import Bench
from portal.model.say import Say, Several


def find_edges(bench: Bench, decoding: Decoding, asked: Edges, *, language: str | None = None) -> dict[str, object]:
    """The shape with its points on the edges nearby, as a proposal, and in words what was found."""
    spot = bench.index.spot(asked.picture)
    own = drawn_on(spot, bench.facts, asked.shown)
    drawn = {"defect": "-", "zone": "-", "seen": "yes", "shapes": [asked.shape]}
    shape = finding_of(drawn, id_="0000", by="-", at="2000-01-01T00:00", frame=own.upright).shapes[0]
    made = tighten(shape, decoding.of(bench.folder / spot.picture.file, own).codes)
    said = (
        Say.of("edge.found", found=made.found, n=made.of, u=f"{made.u_px:.2f}") if made.found else Say.of("edge.none")
    )
    speaker = bench.speaker(language)
    why = tuple(Say.of(f"edge.{each}") for each in made.refused)
    words = [speaker.say(said), *([speaker.say(Say.of("edge.why", why=Several(why)))] if why else [])]
    given = as_text(made.shape.given())
    return {"number": asked.number, "shape": given, "found": made.found, "said": " ".join(words)}
