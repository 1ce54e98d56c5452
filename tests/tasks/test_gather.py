"""What is kept of pictures' facts from one build to the next."""

import json
from dataclasses import asdict, replace

from portal.model.picture import Movie, PictureFacts, PictureUnreadable, WrittenScale
from portal.model.scalars import Frame
from portal.tasks.gather import facts_from_data, facts_to_data

FACTS = PictureFacts(
    sha256="0" * 64,
    stored=Frame(800, 600),
    orientation=6,
    taken="2026-03-04T15:12:07",
    declared=Frame(1600, 1200),
    movie=Movie("motion", frames=20, seconds=2.5, has_sound=True),
    written=(WrittenScale(1.5, 1.25, "text"), WrittenScale(1.5, 1.5, "ome")),
    bits=12,
)


def test_facts_come_back_from_a_manifest_as_they_went_in() -> None:
    """Frames, a movie, each scale; of a picture that can't be shown, why."""
    for facts in (FACTS, PictureFacts("1" * 64, Frame(4, 3)), PictureUnreadable("damaged", "copy it again")):
        assert facts_from_data(json.loads(json.dumps(facts_to_data(facts)))) == facts


def test_a_manifest_holds_everything_but_the_camera() -> None:
    """The manifest lies beside pages that go out."""
    masked = replace(FACTS, masks=(((1.0, 2.0), (3.0, 2.0), (3.0, 4.0)),), camera="bench camera", is_unranged=True)
    whole = asdict(masked)
    del whole["camera"], whole["is_unranged"]
    assert facts_to_data(masked) == whole
