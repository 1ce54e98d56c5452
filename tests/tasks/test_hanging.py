"""A reading library that hangs, is killed or brings its process down: the build goes on and names the movie."""

import os
import re
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.pictures.movies import movie
from tests.tasks.small import TRIAL, small_catalogue
from tests.tasks.test_strange_pictures import pages_headed

SHOWN = re.compile(r"assets/[0-9a-f]+\.jpg")
TOP = Path(__file__).resolve().parents[2]
HARM = {
    "hangs": "time.sleep(10_000)",
    "never lets go of the interpreter": "re.match('(a*)*b', 'a' * 60)",
    "is killed": "os.kill(os.getpid(), signal.SIGKILL)",
    "reads where nothing is": "ctypes.string_at(0)",
}
PATCH = """
import ctypes, os, re, signal, sys, time
sys.path.insert(0, {top!r})
from portal.pictures import apart, {where}
apart.PATIENCE = 3
def harm(*given, **named):
    {harm}
{where}.{name} = harm
"""
AT = {
    "looked at": ("movie", "movie_facts", "its index couldn't be read"),
    "coded": ("moving", "play", "can't be played"),
}


@pytest.mark.parametrize(
    ("harm", "at"),
    [*((each, "looked at") for each in HARM), ("is killed", "coded"), ("reads where nothing is", "coded")],
)
@pytest.mark.skipif(os.name != "posix", reason="signals")
def test_a_movie_that_takes_its_process_along_is_named_and_the_rest_is_built(
    harm: str, at: str, tmp_path: Path
) -> None:
    """In bounded time, whatever the library does; with its pictures where only the movie itself fails."""
    made = small_catalogue(tmp_path / "c")
    movie(made / TRIAL / "images/c1_film.mp4")
    where, name, reason = AT[at]
    (tmp_path / "patch").mkdir()
    text = PATCH.format(top=str(TOP), where=where, name=name, harm=HARM[harm])
    (tmp_path / "patch/sitecustomize.py").write_text(text, encoding="utf-8")
    started = time.monotonic()
    ran = subprocess.run(
        [sys.executable, "-c", "from portal.cli import main; main()", "build", made, "--jobs", "1"],
        env={**os.environ, "PYTHONPATH": f"{tmp_path / 'patch'}{os.pathsep}{TOP}"},
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert ran.returncode == 1, ran.stderr
    assert f"images/c1_film.mp4: can't be {'shown' if at == 'looked at' else 'played'}: " in ran.stderr
    assert reason in ran.stderr and "Traceback" not in ran.stderr
    assert ran.stderr.count("images/") == 1
    assert time.monotonic() - started < 250
    (page,) = pages_headed(made, "c1_top.jpg")
    assert SHOWN.search(page)
    (told,) = pages_headed(made, "c1_film.mp4")
    assert bool(SHOWN.search(told)) == (at == "coded")
