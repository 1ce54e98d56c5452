"""Bag labels: one for each piece and each kept shot of a running cavity; names are only ever text."""

import re
from pathlib import Path

import pytest

from portal.bench.index import NotThere, trial_key
from portal.bench.labels import PER_SHEET, labels
from portal.bench.state import Bench
from tests.tasks.small import TRIAL, small_catalogue


def told(bench: Bench, language: str = "en") -> str:
    """The page of the trial, without what isolates directions."""
    key = trial_key(bench.catalogue.moulds["M-001"].trials["T1"])
    return labels(bench, key, bench.speaker(language)).decode().replace("\u2068", "").replace("\u2069", "")


def changed(tmp_path: Path, **fields: str) -> Bench:
    """A bench over a trial with other fields."""
    folder = small_catalogue(tmp_path / "c")
    trial = folder / TRIAL / "trial.yaml"
    text = trial.read_text(encoding="utf-8")
    for name, value in fields.items():
        text = re.sub(rf"(?m)^{name}:.*\n(?:[ #-].*\n)*", f"{name}: {value}\n", text)
    trial.write_text(text, encoding="utf-8")
    bench = Bench(folder)
    assert "T1" in bench.catalogue.moulds["M-001"].trials
    return bench


def test_a_label_says_piece_cavity_shot_part_trial_and_date(bench: Bench) -> None:
    """All that tells one bag from another."""
    page = told(bench)
    piece = bench.catalogue.moulds["M-001"].trials["T1"].pieces[0]
    day = bench.speaker().day(bench.catalogue.moulds["M-001"].trials["T1"].date)
    for part in (piece.id, "P-0001", "M-001 T1", day, bench.catalogue.parts["P-0001"].numbers.customer):
        assert part in page, part
    assert "Beutelschilder" in told(bench, "de")


def test_a_kept_shot_without_a_piece_gets_a_line_to_write_on(tmp_path: Path) -> None:
    """Of running cavities only; a piece of a shot that isn't among the kept has its label too."""
    bench = changed(
        tmp_path,
        shots="{kept: [11, 12]}",
        pieces='[{id: A-1, cavity: "1", shot: 11}, {id: A-2, cavity: "1", shot: 11}, {id: B-1, cavity: "1", shot: 9}]',
    )
    running = [
        mark for mark, each in bench.catalogue.moulds["M-001"].cavities.items() if each.status.value == "running"
    ]
    page = told(bench)
    assert page.count('class="label"') == 3 + 2 * len(running) - 1
    assert page.count('class="blank"') == 2 * len(running) - 1
    assert page.index("B-1") < page.index("A-1") < page.index("A-2"), "shot 9 before 11"


def test_twenty_four_fit_on_a_sheet(tmp_path: Path) -> None:
    """And the next begins another."""
    bench = changed(tmp_path, shots=f"{{kept: [{', '.join(str(each) for each in range(1, 60))}]}}", pieces="[]")
    page = told(bench)
    assert page.count('class="labelsheet"') == -(-page.count('class="label"') // PER_SHEET) > 2


def test_names_never_become_markup(tmp_path: Path) -> None:
    """A piece that somebody named to harm."""
    page = told(changed(tmp_path, pieces="[{id: '<img src=x onerror=alert(1)>', cavity: \"1\", shot: 11}]"))
    assert "<img" not in page and "&lt;img" in page


def test_another_key_finds_nothing(bench: Bench) -> None:
    """As any other."""
    with pytest.raises(NotThere):
        labels(bench, "0" * 20, bench.speaker())
