"""The scale that a file states: written by another program, read here; a print density is never one.

The writer is tifffile, a library of its own. What the fields mean: TIFF revision 6.0 section 8 (resolution is pixels
per unit) and the OME data model, schema 2016-06 (the size of a pixel, µm where no unit is named).
"""

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from PIL import Image

from portal.model.picture import PictureFacts, WrittenScale
from portal.pictures.facts import read_facts

PIXELS = np.arange(40 * 60, dtype=np.uint16).reshape(40, 60)
_NO_UNIT, _INCH, _CM = 1, 2, 3


def scales(path: Path, **options: Any) -> tuple[WrittenScale, ...]:
    """What is read of a TIFF that the other library wrote."""
    tifffile.imwrite(path, PIXELS, **options)
    return written(path)


def written(path: Path) -> tuple[WrittenScale, ...]:
    """What a file states."""
    facts = read_facts(path)
    assert isinstance(facts, PictureFacts), facts
    return facts.written


def by_text(unit: str, resolution: tuple[float, float], tag: int = _NO_UNIT) -> dict[str, Any]:
    """A description text with a unit, as a program of microscopy writes it."""
    text = f"images=1\nunit={unit}\nmin=0.0\n".encode()
    return {"description": text, "resolution": resolution, "resolutionunit": tag, "metadata": None}


@pytest.mark.parametrize(
    ("unit", "um"),
    [
        ("micron", 1),
        ("um", 1),
        ("µm", 1),
        ("μm", 1),
        ("\\u00B5m", 1),
        ("nm", 0.001),
        ("mm", 1000),
        ("cm", 10_000),
        ("inch", 25_400),
    ],
)
def test_resolution_is_pixels_per_unit_of_the_text(unit: str, um: float, tmp_path: Path) -> None:
    """5.928571 pixels per micron are 0.168675 µm per pixel, not 5.928571."""
    (found,) = scales(tmp_path / "a.tif", **by_text(unit, (5.928571, 11.857142)))
    assert found.by == "text"
    assert (found.x_um, found.y_um) == pytest.approx((um * 0.168675, um * 0.0843375), rel=1e-5)


def test_a_text_in_latin_1_is_read_too(tmp_path: Path) -> None:
    """The micro sign as one byte."""
    path = tmp_path / "a.tif"
    tifffile.imwrite(
        path,
        PIXELS,
        metadata=None,
        description=b"unit=\xb5m\n",
        resolution=(2.0, 2.0),
        resolutionunit=_NO_UNIT,
    )
    (found,) = written(path)
    assert found.x_um == pytest.approx(0.5)


@pytest.mark.parametrize("tag", [_INCH, _CM])
def test_a_text_and_a_tag_are_told_both_and_never_multiplied(tag: int, tmp_path: Path) -> None:
    """10 pixels per cm in the text and in the tag are 1000 µm once; a tag in another unit is another number."""
    both = scales(tmp_path / "a.tif", **by_text("cm", (10.0, 10.0), tag))
    assert [each.by for each in both] == ["text", "tag"]
    assert [each.x_um for each in both] == pytest.approx([1000.0, 2540.0 if tag == _INCH else 1000.0])


@pytest.mark.parametrize("dpi", [1, 72, 96, 300, 25_400])
@pytest.mark.parametrize("tag", [_NO_UNIT, _INCH, _CM])
def test_a_print_density_is_never_a_scale(dpi: int, tag: int, tmp_path: Path) -> None:
    """Whatever its number, and whether or not it has a unit."""
    assert scales(tmp_path / "a.tif", resolution=(dpi, dpi), resolutionunit=tag, metadata=None) == ()
    assert scales(tmp_path / "b.tif", **by_text("pixel", (dpi, dpi), tag)) == ()
    assert scales(tmp_path / "c.tif", **by_text("furlong", (dpi, dpi), tag)) == ()


def test_no_other_kind_of_file_states_one(tmp_path: Path) -> None:
    """Densities of PNG and JPEG are for print."""
    image = Image.fromarray(PIXELS.astype(np.uint8))
    for name in ("a.png", "a.jpg"):
        image.save(tmp_path / name, dpi=(25_400, 25_400))
        assert written(tmp_path / name) == ()


OME = {
    "µm": 1.0,
    "nm": 0.001,
    "mm": 1000.0,
    "cm": 10_000.0,
    "Å": 0.0001,
    "in": 25_400.0,
}


@pytest.mark.parametrize("unit", OME)
def test_ome_states_the_size_of_a_pixel(unit: str, tmp_path: Path) -> None:
    """In x and in y, each with its unit."""
    said = {"axes": "YX", "PhysicalSizeX": 0.5, "PhysicalSizeY": 0.25, "PhysicalSizeXUnit": unit}
    (found,) = scales(tmp_path / "a.ome.tif", ome=True, metadata={**said, "PhysicalSizeYUnit": "µm"})
    assert found == WrittenScale(0.5 * OME[unit], 0.25, "ome")


def test_ome_means_micrometres_where_it_names_no_unit(tmp_path: Path) -> None:
    """The schema's default."""
    said = {"axes": "YX", "PhysicalSizeX": 0.5, "PhysicalSizeY": 0.5}
    assert scales(tmp_path / "a.ome.tif", ome=True, metadata=said) == (WrittenScale(0.5, 0.5, "ome"),)


@pytest.mark.parametrize("unit", ["pixel", "reference frame", "parsec?"])
def test_ome_in_no_length_states_none(unit: str, tmp_path: Path) -> None:
    """A size in pixels says nothing."""
    path = tmp_path / "a.ome.tif"
    text = ome_xml(f'PhysicalSizeX="1" PhysicalSizeXUnit="{unit}" PhysicalSizeY="1" PhysicalSizeYUnit="{unit}"')
    assert scales(path, description=text, metadata=None) == ()


def ome_xml(sizes: str, *, width: int = 60) -> bytes:
    """The least that names a size."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?><OME xmlns="http://www.openmicroscopy.org/Schemas/OME/2016-06">'
        f'<Image ID="Image:0"><Pixels ID="Pixels:0" SizeX="{width}" SizeY="40" {sizes}></Pixels></Image></OME>'
    ).encode()


@pytest.mark.parametrize(
    "text",
    [
        ome_xml('PhysicalSizeX="0.5" PhysicalSizeY="0.5"', width=120),
        ome_xml('PhysicalSizeX="0.5"'),
        ome_xml('PhysicalSizeX="-1" PhysicalSizeY="1"'),
        ome_xml('PhysicalSizeX="nan" PhysicalSizeY="nan"'),
        ome_xml('PhysicalSizeX="half" PhysicalSizeY="1"'),
        b"<OME><Image><Pixels",
        b'<!DOCTYPE a [<!ENTITY b "c">]>' + ome_xml('PhysicalSizeX="0.5" PhysicalSizeY="0.5"'),
    ],
    ids=["of another size", "x alone", "negative", "no number", "a word", "cut off", "with entities"],
)
def test_ome_that_is_wrong_states_none(text: bytes, tmp_path: Path) -> None:
    """A copy that was made smaller no longer has the size that the text is about."""
    assert scales(tmp_path / "a.tif", description=text, metadata=None) == ()


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize("big", [False, True])
def test_both_byte_orders_and_both_sizes_of_offset(order: Any, big: bool, tmp_path: Path) -> None:
    """The same fraction."""
    (found,) = scales(tmp_path / "a.tif", **by_text("micron", (4.0, 4.0)), byteorder=order, bigtiff=big)
    assert found.x_um == pytest.approx(0.25)


def test_a_resolution_over_nothing_states_none(tmp_path: Path) -> None:
    """A fraction with 0 below."""
    assert scales(tmp_path / "a.tif", **(by_text("micron", (1.0, 1.0)) | {"resolution": ((0, 1), (0, 1))})) == ()
