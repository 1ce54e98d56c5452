"""What is held of a tag that was read: little more than what it says, so that thousands of them can be held."""

import gc
import shutil
import tracemalloc
from pathlib import Path

from portal.catalog.read import Reading, read
from portal.model.tag import Tag
from tests.tasks.small import TRIAL, small_catalogue

FEW, MANY = 20, 120
ENOUGH = 8 * 1024
"""Bytes for each picture with three findings: 5.2 KiB of records, lines and digests by now, 15.5 before."""


def test_a_tag_that_was_read_takes_little_room(tmp_path: Path) -> None:
    """Of its lines some bytes, of the keys that were given one set for all; words that stand in all tags once."""
    few, many = (_held(tmp_path / str(number), number) for number in (FEW, MANY))
    assert (many - few) / (MANY - FEW) < ENOUGH


def _held(folder: Path, number: int) -> int:
    """What of a catalogue with so many more pictures is held once it was read."""
    small_catalogue(folder)
    images, tags = (folder / TRIAL / each for each in ("images", "tags"))
    tag = (tags / "c1_top.jpg.yaml").read_text(encoding="utf-8")
    head, _, finding = tag.partition("findings:\n")
    for each in range(number):
        (images / f"p{each:03}.jpg").touch()
        ids = (f"{each:03}{letter}" for letter in "ABC")
        findings = "".join(finding.replace("7K3F", id_).replace("150", str(150 + each % 9)) for id_ in ids)
        (tags / f"p{each:03}.jpg.yaml").write_text(f"{head}findings:\n{findings}", encoding="utf-8")
    read(folder)  # what is made once for all catalogues is there
    tracemalloc.start()
    try:
        reading = read(folder)
        gc.collect()
        held, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert _tags(reading) == number + 2
    shutil.rmtree(folder)
    return held


def _tags(reading: Reading) -> int:
    assert reading.catalogue is not None and not reading.problems
    return sum(1 for _, trial in reading.catalogue.trials() for each in trial.pictures if isinstance(each.tag, Tag))
