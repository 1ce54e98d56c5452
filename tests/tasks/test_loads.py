"""What a command loads: asking, noting and taking in an answer make no page, open no picture, judge nothing twice."""

import json
import os
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

import pytest

from portal.tasks.build import build
from portal.tasks.gather import gather
from tests.tasks.judged import ENGINEER, MAY_ALL, PART, TRIAL_NAME, opened
from tests.tasks.packing import ready_catalogue
from tests.tasks.sent import MAIL
from tests.tasks.small import TRIAL
from tests.tasks.two import change

PAGES = ("portal.site", "portal.bench", "jinja2", "markdown", "babel", "fpdf", "starlette", "uvicorn")
PICTURES = ("PIL", "pillow_heif", "portal.pictures.derive", "portal.pictures.upright", "multiprocessing")
TABLES = ("xlsxwriter", "ruamel", "rich")
MEASURING = ("numpy", "portal.measure", "portal.assess.finding", "portal.judge.verdict")
THREADS = Path("/proc/self/task")
READERS = ("portal.pictures.facts", "portal.pictures.exif")
_RUN = """
import json, sys
from portal.cli import main
code = 0
try:
    main(sys.argv[1:])
except SystemExit as left:
    code = left.code or 0
print(json.dumps([code, sorted(sys.modules)]))
"""


def loaded_by(*words: str | Path) -> set[str]:
    """The modules that a command had loaded when it ended well."""
    run = subprocess.run(
        [sys.executable, "-c", _RUN, *map(str, words)], capture_output=True, encoding="utf-8", check=True
    )
    code, modules = json.loads(run.stdout.splitlines()[-1])
    assert code == 0, run.stdout + run.stderr
    return set(modules)


def of_these(modules: set[str], heavy: tuple[str, ...]) -> list[str]:
    """Those of the heavy ones that are among the modules, themselves or one below them."""
    return [each for each in heavy if any(name == each or name.startswith(f"{each}.") for name in modules)]


def ask_in_words(folder: Path) -> set[str]:
    """What an ask loads."""
    words = ("--part", PART, "--finding", "7K3J", "--kind", "question", "--question", "Which resin?")
    return loaded_by("ask", folder, *words, "--by", ENGINEER)


def test_asking_loads_no_page_no_picture_and_no_table(folder: Path) -> None:
    """An ask is measured and judged, and that is all."""
    loaded = ask_in_words(folder)
    assert of_these(loaded, (*PAGES, *PICTURES, *TABLES)) == []
    assert of_these(loaded, MEASURING) == list(MEASURING)  # so that the names are still those of what is there


def test_what_was_judged_before_is_asked_about_without_measuring_anything(folder: Path) -> None:
    """Once a command has judged it, the next needs no more than what came of that; a changed tag is judged anew."""
    gather(folder)
    assert of_these(ask_in_words(folder), MEASURING) == []
    change(folder, f"{TRIAL}/tags/c1_top.jpg.yaml", "    seen: yes", "    seen: yes\n    note: seen on two more")
    assert of_these(ask_in_words(folder), MEASURING) == list(MEASURING)


def test_an_answer_taken_in_loads_no_page_no_picture_and_no_table(folder: Path) -> None:
    """What was sent is held against the mail that is kept, so that no page's words are needed."""
    (review,) = opened(folder).state.reviews.values()
    reply = folder.parent / "reply.txt"
    reply.write_text(f"From: {MAY_ALL} <{MAIL}>\nSubject: [{review.code}]\n\n2 A\n", encoding="utf-8")
    loaded = loaded_by("receive", folder, reply, "--by", ENGINEER)
    assert of_these(loaded, (*PAGES, *PICTURES, *TABLES, *MEASURING, "portal.model.shown")) == []


def test_a_picture_that_a_build_looked_at_is_not_looked_at_again(folder: Path) -> None:
    """What reads the kinds of picture files isn't even loaded."""
    assert of_these(ask_in_words(folder), READERS) == list(READERS)
    long_ago = time.time() - 3600
    for path in folder.rglob("*"):
        os.utime(path, (long_ago, long_ago))
    build(folder, out=None, as_of=date(2026, 3, 5), processes=1)
    assert of_these(ask_in_words(folder), READERS) == []


@pytest.mark.skipif(not THREADS.is_dir(), reason="this system doesn't tell its threads so")
def test_measuring_starts_no_thread_for_each_core(folder: Path) -> None:
    """Not even NumPy's library, which would for matrices that nobody here has."""
    told = f"import os; print(len(os.listdir({str(THREADS)!r})))"
    words = ("--part", PART, "--finding", "7K3J", "--kind", "question", "--question", "Which?", "--by", ENGINEER)
    run = subprocess.run(
        [sys.executable, "-c", f"{_RUN}\nimport numpy\n{told}", "ask", str(folder), *words],
        capture_output=True, encoding="utf-8", check=True, env={**os.environ, "OPENBLAS_NUM_THREADS": "4"},
    )  # fmt: skip
    assert run.stdout.splitlines()[-1] == "1"


def test_packing_loads_nothing_that_checks_a_catalogue_or_writes_its_site(tmp_path: Path) -> None:
    """What a review shows is frozen and written; what is wrong elsewhere, and other pages, are nobody's business."""
    folder = ready_catalogue(tmp_path / "c")
    loaded = loaded_by("pack", folder, "--part", PART, "--trial", TRIAL_NAME, "--by", ENGINEER)
    assert of_these(loaded, ("portal.tasks.check", "portal.tasks.findings", "portal.site.render")) == []
    assert of_these(loaded, ("portal.site.pdf", "portal.site.onefile"))  # it did pack


def test_the_log_is_told_without_measuring_anything(folder: Path) -> None:
    """Who owes what is told from events alone."""
    assert of_these(loaded_by("log", folder), (*PAGES, *PICTURES, *TABLES, *MEASURING)) == []


@pytest.mark.parametrize("command", ["ask", "receive", "log", "record", "pack", "build", "bench"])
def test_help_loads_no_record(command: str) -> None:
    """`--help` answers at once."""
    assert of_these(loaded_by(command, "--help"), ("pydantic", "yaml", *PAGES, *PICTURES, *TABLES, *MEASURING)) == []
