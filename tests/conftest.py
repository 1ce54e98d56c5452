"""What all tests share: generated examples are the same in every run; what is kept between builds is theirs alone."""

import atexit
import os
import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from portal.tasks.gather import Gathered

CACHE = tempfile.mkdtemp(prefix="portal-tests-")
os.environ["PORTAL_CACHE"] = CACHE
atexit.register(shutil.rmtree, CACHE, ignore_errors=True)

settings.register_profile("portal", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("portal")


@pytest.fixture(scope="session")
def sample() -> "Gathered":
    """The sample's catalogue, gathered anew."""
    from portal.tasks.gather import gather  # the cache's place has to be named before

    return gather(Path(__file__).parents[1] / "sample_catalog")


def pytest_configure(config: pytest.Config) -> None:
    """Neighbours stay in one process, where what they share is made once; who is done takes from the others."""
    if config.getoption("dist", "no") == "load":
        config.option.dist = "worksteal"
