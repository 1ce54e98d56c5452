"""The judged catalogue, checked by a second person and with its proposed asks on record: ready to be sent."""

from collections.abc import Callable
from pathlib import Path

from tests.tasks.judged import ENGINEER, PART, TRIAL_NAME, judged_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.typed import Typed, typed


def ready_catalogue(folder: Path, *, before_asking: Callable[[Path], object] = lambda folder: None) -> Path:
    """Write it and give its folder; `before_asking` may put more into it."""
    judged_catalogue(folder)
    before_asking(folder)
    trial = folder / TRIAL / "trial.yaml"
    checked = "checked: {by: first-engineer, at: 2026-02-13T09:00}\n"
    trial.write_text(trial.read_text(encoding="utf-8") + checked, encoding="utf-8")
    asked = typed("ask", folder, "--part", PART, "--trial", TRIAL_NAME, "--proposed", "--by", ENGINEER)
    assert asked.code == 0, asked.err
    return folder


def pack(folder: Path, *words: str) -> Typed:
    """`portal pack …`."""
    return typed("pack", folder, "--part", PART, "--trial", TRIAL_NAME, "--by", ENGINEER, *words)


def carriers(folder: Path) -> dict[str, bytes]:
    """The carriers of the only review, by name."""
    found = sorted(folder.glob(f"parts/{PART}/reviews/T1-*/carriers/*"))
    return {each.name: each.read_bytes() for each in found if not each.name.startswith(".")}


def events(folder: Path) -> list[str]:
    """The names of the log's files."""
    return sorted(each.name for each in (folder / "parts" / PART / "log").glob("*.json"))
