"""One catalogue with an answered review for all tests that only read it, and a copy for those that don't."""

from pathlib import Path

import pytest

from tests.tasks.answered import answered_catalogue, copied


@pytest.fixture(scope="session")
def answered(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue from which a review was sent and answered in part, made once; only to be read."""
    return answered_catalogue(tmp_path_factory.mktemp("answered") / "c")


@pytest.fixture
def folder(answered: Path, tmp_path: Path) -> Path:
    """A copy of it."""
    return copied(answered, tmp_path / "c")
