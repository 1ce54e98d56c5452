"""Counts and spacing with doubtful ones against every way to take them in or leave them out.

Each doubtful one is there or it isn't; where all ways come to one word that is the word, and where they don't it is
undecided. The count in a circle is that of SciPy's k-d tree over all circles through two points.
"""

import math
from collections.abc import Iterator
from itertools import combinations

import numpy as np
import numpy.typing as npt
import pytest

from portal.judge import counts, spacing
from portal.model.countable import Countable
from portal.model.standard import Criterion
from portal.model.terms import VerdictWord
from tests.judge.countables import a_group, a_speck, counting, reading_of
from tests.outside.test_judge_discs import most_by_pairs

CIRCLE_UM, SMALLEST_UM, APART_UM = 1_000.0, 100.0, 180.0
SURE, DOUBTFUL, TOO_SMALL = 120.0, 100.5, 60.0
"""Diameters in µm beside a smallest counted of 0.1 mm with u = 1 µm."""


def scattered(seed: int, sure: int, doubtful: int) -> list[Countable]:
    """Specks in a square of 2.4 mm, some of which may be too small to count, some that are."""
    rng = np.random.default_rng(seed)
    sizes = [SURE] * sure + [DOUBTFUL] * doubtful + [TOO_SMALL] * 3
    places = (rng.random((len(sizes), 2)) * 2_400.0).tolist()
    return [a_speck(size, (x, y), u=1.0) for size, (x, y) in zip(sizes, places, strict=True)]


def ways(specks: list[Countable]) -> Iterator[list[Countable]]:
    """Every set that may be the one that counts."""
    of = {size: [each for each in specks if math.isclose(reading_of(each).value, size)] for size in (SURE, DOUBTFUL)}
    for n in range(len(of[DOUBTFUL]) + 1):
        for some in combinations(of[DOUBTFUL], n):
            yield [*of[SURE], *some]


def _spots(specks: list[Countable]) -> npt.NDArray[np.float64]:
    return np.array([each.place.at for each in specks if each.place is not None]).reshape(-1, 2)


def together(words: set[VerdictWord]) -> VerdictWord:
    """One word where all ways agree."""
    return words.pop() if len(words) == 1 else VerdictWord.UNDECIDED


def against(most: int, n: int) -> VerdictWord:
    """The word of a plain count."""
    return VerdictWord.DOES_NOT_CONFORM if n > most else VerdictWord.CONFORMS


@pytest.mark.parametrize("seed", range(10))
def test_a_count_in_the_zone(seed: int) -> None:
    """Four sure and five doubtful against at most 3 to 10."""
    specks = scattered(seed, 4, 5)
    for most in range(3, 11):
        criterion = counting({"max": str(most)}, smallest_counted="0.1 mm")
        found = counts.hold(criterion.count[0], a_group(*specks), criterion=criterion, zone="B", soft=False)
        assert found.word is together({against(most, len(way)) for way in ways(specks)}), most


@pytest.mark.parametrize("seed", range(12))
def test_a_count_in_the_worst_circle(seed: int) -> None:
    """Nine sure and five doubtful in a square of 2.4 mm, circles of 1 mm; where they lie is known exactly."""
    specks = scattered(seed, 9, 5)
    held = {most_by_pairs(_spots(way), CIRCLE_UM) for way in ways(specks)}
    for most in range(min(held) - 1, max(held) + 2):
        criterion = counting({"max": str(most), "per": {"circle": "1 mm"}}, smallest_counted="0.1 mm")
        found = counts.hold(criterion.count[0], a_group(*specks, u=0.0), criterion=criterion, zone="B", soft=False)
        assert found.word is together({against(most, n) for n in held}), most


def the_spacing(specks: list[Countable], criterion: Criterion) -> VerdictWord:
    """What the nearest two come to."""
    limit = spacing.demanded(criterion)
    assert limit is not None
    group = a_group(*specks, u=1e-6)
    return spacing.hold(limit, group, criterion=criterion, zone="B", soft=False).word


@pytest.mark.parametrize("seed", range(12))
def test_a_spacing(seed: int) -> None:
    """Each way for itself, with specks that surely count, against all of it at once."""
    specks = scattered(seed, 6, 5)
    plain = counting(spacing="0.18 mm")
    each = {the_spacing(way, plain) for way in ways(specks)}
    assert the_spacing(specks, counting(spacing="0.18 mm", smallest_counted="0.1 mm")) is together(each)


def test_the_ways_are_all_and_differ() -> None:
    """What the proofs above stand on: 32 ways, and seeds with each of the three words."""
    assert len(list(ways(scattered(0, 4, 5)))) == 32
    plain = counting(spacing="0.18 mm")
    found = {together({the_spacing(way, plain) for way in ways(scattered(seed, 6, 5))}) for seed in range(12)}
    assert found == {VerdictWord.CONFORMS, VerdictWord.UNDECIDED, VerdictWord.DOES_NOT_CONFORM}
