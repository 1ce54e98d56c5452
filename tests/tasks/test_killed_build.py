"""A build that is killed at any moment leaves every page complete and all it names there; the next one ends it."""

import os
import random
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.tasks.killing import ended, parent_running
from tests.tasks.small import SPECK, TRIAL, add_picture, small_catalogue
from tests.tasks.test_build import DAY, aged, broken_links, built, site

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="no process can be forked here")

MOMENTS, TENTH = 100, 10
_PARENT = """
import json, os, signal, sys
from datetime import date
from pathlib import Path
from portal.tasks.build import build
import portal.tasks.audience, portal.tasks.check, portal.tasks.gather, portal.tasks.pages, portal.tasks.publish
import portal.tasks.recorded, portal.tasks.still, portal.tasks.pagekeys
from tests.tasks.killing import Watcher

for line in sys.stdin:
    folder, day, step, seconds, said = json.loads(line)
    child = os.fork()
    if child == 0:
        os.setsid()
        nothing = os.open(os.devnull, os.O_RDWR)
        for stream in (0, 1):  # what the killed one leaves behind would keep them open
            os.dup2(nothing, stream)
        watcher = Watcher(folder, step=step)
        if seconds:
            signal.setitimer(signal.ITIMER_REAL, seconds)  # nobody catches it: it kills at once
        build(Path(folder), out=None, as_of=date.fromisoformat(day), processes=1)
        Path(said).write_text(str(watcher.seen))
        os._exit(0)
    print(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]), flush=True)
"""
"""Forks a process for each build, which dies at that step of writing or after so many seconds."""


@pytest.fixture(scope="module")
def parent() -> Iterator["subprocess.Popen[str]"]:
    """The process that forks."""
    with parent_running(_PARENT) as process:
        yield process


def run(parent: "subprocess.Popen[str]", folder: Path, *, step: int = 0, seconds: float = 0.0) -> int:
    """How a build in a process of its own ended, and how many steps of writing it took where it came to its end."""
    said = folder.parent / "said.txt"
    code = ended(parent, str(folder), DAY.isoformat(), step, seconds, str(said))
    assert code in (0, -9, -14), code
    return int(said.read_text()) if code == 0 else -1


@pytest.fixture(scope="module")
def stages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """A catalogue that was never built; one that was, and of which then a tag, a picture's name and more changed."""
    top = tmp_path_factory.mktemp("stages")
    first = small_catalogue(top / "first")
    aged(first)
    again = shutil.copytree(first, top / "again")
    add_picture(again, "c1_gone.jpg", view="top", findings="", seed=3)
    aged(again)
    built(again)
    tag = again / TRIAL / "tags/c1_top.jpg.yaml"
    tag.write_text(tag.read_text(encoding="utf-8").replace("120,120", "130,130"), encoding="utf-8")
    for kind, ending in (("images", ""), ("tags", ".yaml")):
        (again / TRIAL / kind / f"c1_gone.jpg{ending}").unlink()
        (again / TRIAL / kind / f"c1_gate.jpg{ending}").rename(again / TRIAL / kind / f"c1_vestige.jpg{ending}")
    add_picture(again, "c1_new.jpg", view="top", findings=SPECK.replace("7K3F", "7K3J"), seed=4)
    aged(again)
    return {"first": first, "again": again}


def check(parent: "subprocess.Popen[str]", stage: Path, tmp_path: Path, moments: range) -> None:
    """Kill builds at moments that are each drawn from the number of the moment."""
    whole = shutil.copytree(stage, tmp_path / "whole")
    steps = run(parent, whole)
    expected = site(whole / "site/shop")
    clean = shutil.copytree(stage, tmp_path / "clean", ignore=shutil.ignore_patterns("site"))
    assert site(built(clean).out) == expected and broken_links(whole / "site/shop") == []
    killed = 0
    for moment in moments:
        chance = random.Random(moment)
        folder = shutil.copytree(stage, tmp_path / "c")
        if moment % 3:
            ended = run(parent, folder, step=chance.randint(1, steps))
        else:
            ended = run(parent, folder, seconds=chance.uniform(0.005, 1.0))
        killed += ended < 0
        out = folder / "site/shop"
        for path, body in site(out).items() if out.is_dir() else ():
            assert not path.endswith(".html") or body.rstrip().endswith(b"</html>"), (moment, path)
        assert not out.is_dir() or broken_links(out) == [], moment
        assert site(built(folder).out) == expected, moment
        assert {each.name for each in out.iterdir() if each.name.startswith(".")} == {
            ".portal-site.json", ".portal-drawn.json",
        }, moment  # fmt: skip
        shutil.rmtree(folder)
    assert killed >= len(moments) / 2


@pytest.mark.parametrize("stage", ["first", "again"])
def test_a_killed_build_leaves_a_whole_site(
    parent: "subprocess.Popen[str]", stages: dict[str, Path], stage: str, tmp_path: Path
) -> None:
    """At a few moments of a first build and of one after changes."""
    check(parent, stages[stage], tmp_path, range(TENTH // 2))


@pytest.mark.long
@pytest.mark.parametrize("stage", ["first", "again"])
def test_a_build_killed_at_a_hundred_moments_leaves_a_whole_site(
    parent: "subprocess.Popen[str]", stages: dict[str, Path], stage: str, tmp_path: Path
) -> None:
    """Fifty each."""
    check(parent, stages[stage], tmp_path, range(MOMENTS // 2))
