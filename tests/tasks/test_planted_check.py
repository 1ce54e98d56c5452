"""Faults that only show once pictures are looked at: each reported once, at its line."""

from hashlib import sha256
from pathlib import Path

import pytest

from portal.problem import Problem
from portal.tasks.check import check
from tests.pictures.movies import movie
from tests.tasks.small import TRIAL
from tests.tasks.test_guards import line_of
from tests.tasks.two import change, two_customers

TOP = f"{TRIAL}/tags/c1_top.jpg.yaml"
PART = "parts/P-0001/part.yaml"
SAMPLE = "limit-samples/LS-0901/sample.yaml"
FAR = '"0,0 400,0 9,9"'


@pytest.fixture(scope="module")
def sound(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue without a problem, with a limit sample and a reference picture."""
    folder = two_customers(tmp_path_factory.mktemp("sound") / "catalogue")
    picture = folder / "parts/P-0001/views/top.jpg"
    picture.parent.mkdir(exist_ok=True)
    picture.write_bytes((folder / TRIAL / "images/c1_top.jpg").read_bytes() + b"\0\0")
    change(folder, PART, "    # reference: views/top.jpg ", "    reference: views/top.jpg   ")
    assert [str(each) for each in check(folder).problems if not each.warning] == []
    return folder


@pytest.mark.parametrize(
    ("file", "old", "new", "field", "said"),
    [
        (TOP, "stored: 320x240", "stored: 240x320", "picture.stored", "says 240x320, the picture's stored frame is"),
        (TOP, "100,100 120,100", "100,100 420,100", "findings.0.shapes.0.points", "420,100 is outside the picture"),
        (TOP, "findings:", 'masks: ["0,0 9,0 9,241"]\nfindings:', "masks.0", "9,241 is outside the picture"),
        (TOP, "findings:", "movie: {sound: true}\nfindings:", "movie", "`c1_top.jpg` is no movie"),
        (PART, "A: {as: face}", f"A: {{as: face, outline: {FAR}}}", "views.top.sees.A.outline", "400,0 is outside"),
    ],
)
def test_one_changed_line_is_one_problem(sound: Path, file: str, old: str, new: str, field: str, said: str) -> None:
    """At the line that was changed, and nothing else is said."""
    text = (sound / file).read_text(encoding="utf-8")
    try:
        change(sound, file, old, new)
        line = line_of(sound, file, new.splitlines()[0])
        (problem,) = problems(sound)
        assert (problem.file, problem.line, problem.field) == (file, line, field)
        assert problem.message.startswith(said)
    finally:
        (sound / file).write_text(text, encoding="utf-8")


def test_a_moment_past_the_end_of_a_movie_is_named(sound: Path) -> None:
    """At the line of the tag; a moment within it is none."""
    image = movie(sound / TRIAL / "images/c1_tilt.mp4", frames=20)
    tag = sound / TRIAL / "tags/c1_tilt.mp4.yaml"
    written = (
        f"format: 1\npicture: {{sha256: {sha256(image.read_bytes()).hexdigest()}, stored: 96x64}}\n"
        'cavity: "1"\nmovie: {poster: 1.9 s}\n'
    )
    try:
        tag.write_text(written, encoding="utf-8")
        assert problems(sound) == []
        tag.write_text(written.replace("1.9", "2.5"), encoding="utf-8")
        (problem,) = problems(sound)
        assert (problem.line, problem.field) == (4, "movie.poster")
        assert problem.message == "2.5 s is past the end of the movie, which lasts 2 s"
    finally:
        image.unlink()
        tag.unlink()


@pytest.mark.parametrize(
    ("picture", "file", "field", "said"),
    [
        (f"{TRIAL}/images/c1_top.jpg", TOP, "picture.sha256", "`c1_top.jpg` was replaced since it was tagged"),
        ("limit-samples/LS-0901/low.jpg", SAMPLE, "pictures.0.sha256", "`low.jpg` was replaced since it was agreed"),
    ],
)
def test_a_picture_that_was_replaced_is_named_where_its_hash_stands(
    sound: Path, picture: str, file: str, field: str, said: str
) -> None:
    """And nothing is said of its points."""
    was = (sound / picture).read_bytes()
    try:
        (sound / picture).write_bytes((sound / f"{TRIAL}/images/c1_gate.jpg").read_bytes() + b"\0" * 3)
        (problem,) = problems(sound)
        assert (problem.file, problem.line, problem.field) == (file, line_of(sound, file, "sha256"), field)
        assert problem.message.startswith(said)
    finally:
        (sound / picture).write_bytes(was)


@pytest.mark.parametrize("left", [0, 40, 200])
def test_a_picture_that_is_cut_off_is_named(sound: Path, left: int) -> None:
    """The file itself; its tag is right."""
    picture = sound / f"{TRIAL}/images/c1_gate.jpg"
    was = picture.read_bytes()
    try:
        picture.write_bytes(was[:left])
        (problem,) = problems(sound)
        assert (problem.file, problem.line) == (f"{TRIAL}/images/c1_gate.jpg", 0)
        assert problem.message.startswith("can't be shown: ")
    finally:
        picture.write_bytes(was)


def problems(folder: Path) -> list[Problem]:
    """Without warnings."""
    return [each for each in check(folder).problems if not each.warning]
