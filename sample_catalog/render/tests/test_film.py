"""The sample's movie: the lamp goes round and comes back, and what lies in the sample is what is rendered."""

from pathlib import Path

import av
import numpy as np

from render.film import FRAMES, PATH, SCENE, SIZE, picture, tilted, write

SAMPLE = Path(__file__).resolve().parents[2]


def test_the_lamp_comes_back_to_where_it_began() -> None:
    """So that the movie can be looked at over and over; half way it is on another side."""
    first, middle, end = (tilted(number).lamps[0] for number in (0, FRAMES // 2, FRAMES))
    assert np.allclose((first.x, first.y, first.z), (end.x, end.y, end.z))
    assert first.x * middle.x + first.y * middle.y < 0.5


def test_a_frame_of_the_sample_is_the_one_that_is_rendered() -> None:
    """Up to what coding leaves out; its neighbour half a round away is another."""
    with av.open(str(SAMPLE / PATH)) as container:
        frames = [frame.to_ndarray(format="rgb24").astype(int) for frame in container.decode(video=0)]
    assert len(frames) == FRAMES
    rendered = picture(SCENE, 9).astype(int)
    assert rendered.shape == (SIZE[1], SIZE[0], 3)
    assert np.abs(frames[9] - rendered).mean() < 4 < np.abs(frames[30] - rendered).mean()


def test_the_same_frames_give_the_same_file(tmp_path: Path) -> None:
    """Made again, the sample doesn't change."""
    pixels = np.random.default_rng(1).integers(0, 255, (3, SIZE[1], SIZE[0], 3), dtype=np.uint8)
    for name in ("a.mp4", "b.mp4"):
        write(tmp_path / name, iter(pixels))
    assert (tmp_path / "a.mp4").read_bytes() == (tmp_path / "b.mp4").read_bytes()
