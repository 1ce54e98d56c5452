"""What the last build made of pictures comes to the same records again."""

from datetime import date
from pathlib import Path

import numpy as np
from pydantic import TypeAdapter

from portal.pictures.derive import Derived
from portal.tasks import manifest
from portal.tasks.build import build
from portal.tasks.pages import derived_from
from tests.pictures.make import png
from tests.tasks.small import TRIAL, small_catalogue


def test_a_derived_file_is_the_same_record_as_its_full_reading_gives(tmp_path: Path) -> None:
    """Crops, whole pictures, numbers of a picture, and what has notes: that of a deep picture."""
    folder = small_catalogue(tmp_path / "c")
    deep = np.random.default_rng(4).integers(0, 60_000, (60, 80), dtype=np.uint16)
    (folder / TRIAL / "images/deep.png").write_bytes(png(deep))
    build(folder, out=None, as_of=date(2026, 3, 1), processes=1)
    known = manifest.load(folder / "site/shop")
    assert known is not None
    full = TypeAdapter(Derived)
    made = [(data, full.validate_python(data)) for data in known.derived.values()]
    assert [repr(derived_from(data, each.want)) for data, each in made] == [repr(each) for _, each in made]
    assert len({type(each.want) for _, each in made}) == 3
    assert any(each.notes for _, each in made) and any(each.hints for _, each in made)
    assert {hash(derived_from(data, each.want)) for data, each in made} == {hash(each) for _, each in made}
