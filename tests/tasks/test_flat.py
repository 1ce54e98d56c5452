"""A build holds little for each picture: what it reads, judges and draws of one it lets go before the next."""

import gc
import tracemalloc
from datetime import date
from pathlib import Path

from portal.tasks.build import build
from tests.tasks.small import SPECK, TRIAL, add_picture, small_catalogue

FEW, MANY = 10, 50
ENOUGH = 12 * 1024
"""Bytes for each picture with three findings: 7.0 KiB where all is drawn, 8.5 after one tag; 18 and 24 before."""


def test_what_a_build_holds_hardly_grows_with_each_picture(tmp_path: Path) -> None:
    """Neither where all pages are drawn nor after one tag changed; pages, cards, verdicts and records included."""
    _built(_catalogue(tmp_path / "first", 3))  # what is loaded once is there
    few, many = (_catalogue(tmp_path / str(number), number) for number in (FEW, MANY))
    anew = [_peak(folder) for folder in (few, many)]
    for folder in (few, many):
        tag = folder / TRIAL / "tags/p000.jpg.yaml"
        tag.write_text(tag.read_text(encoding="utf-8").replace("seen: yes", "seen: no", 1), encoding="utf-8")
    after_one = [_peak(folder) for folder in (few, many)]
    each = [(many - few) / (MANY - FEW) for few, many in (anew, after_one)]
    assert max(each) < ENOUGH


def _catalogue(folder: Path, number: int) -> Path:
    small_catalogue(folder)
    for each in range(number):
        findings = "".join(SPECK.replace("7K3F", f"{each:03}{letter}") for letter in "ABC")
        add_picture(folder, f"p{each:03}.jpg", view="top", findings=findings, seed=each)
    return folder


def _peak(folder: Path) -> int:
    gc.collect()
    tracemalloc.start()
    try:
        _built(folder)
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def _built(folder: Path) -> None:
    assert build(folder, out=None, as_of=date(2026, 3, 1), processes=1).changed
