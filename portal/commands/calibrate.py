"""`portal calibrate` on the command line."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from portal.commands.words import ByOption

if TYPE_CHECKING:
    from portal.model.scalars import Length
    from portal.tasks.calibrate import Calibrated

CatalogOption = Annotated[
    Path, typer.Option("--catalog", metavar="CATALOG", help="The catalogue's folder", show_default="where you stand")
]


def calibrate(
    picture: Annotated[Path, typer.Argument(metavar="PICTURE", help="A picture of a stage micrometer")],
    pitch: Annotated[str, typer.Option(metavar="LENGTH", help="One division, as `10 um`")],
    certificate: Annotated[
        str, typer.Option(metavar="LENGTH", help="Standard uncertainty of the distance over its marks, as `0.2 um`")
    ],
    turned: Annotated[
        Path | None, typer.Argument(metavar="[TURNED]", help="Another one, turned by about 90 degrees")
    ] = None,
    corner: Annotated[
        list[Path] | None,
        typer.Option(metavar="FILE", help="One with the marks towards a corner, for the distortion; may be repeated"),
    ] = None,
    write: Annotated[str | None, typer.Option(metavar="SCOPE/SETTING", help="Add it to that setting's file")] = None,
    artefact: Annotated[str, typer.Option(metavar="TEXT", help="What was pictured")] = "stage micrometer",
    number: Annotated[str | None, typer.Option(metavar="TEXT", help="The certificate's number")] = None,
    valid_until: Annotated[
        datetime | None, typer.Option(formats=["%Y-%m-%d"], metavar="DATE", help="Needed to write it")
    ] = None,
    catalog: CatalogOption = Path(),
    by: ByOption = None,
) -> None:
    """Tell micrometres per pixel, with uncertainty, from one picture of a stage micrometer or from two."""
    from portal.problem import PortalError
    from portal.tasks import calibrate as task

    u = _length(certificate, "--certificate")
    pictures = (picture, turned) if turned else (picture,)
    made = task.calibrate(pictures, pitch=_length(pitch, "--pitch"), u=u, corners=tuple(corner or ()))
    _tell(made)
    if write is None:
        return
    scope, slash, setting = write.partition("/")
    if not slash or valid_until is None:
        raise PortalError("to write it, name SCOPE/SETTING and `--valid-until DATE`", code=2)
    day = made.taken or datetime.now().date()
    into = task.Into(scope, setting, artefact, number, u, day, valid_until.date(), by)
    print(f"written as {task.write(catalog, made, into)} in scopes/{scope}.yaml")


def _tell(made: "Calibrated") -> None:
    from portal.site.words import Speaker
    from portal.tasks.calibrate import um_text

    for path, reading in zip(made.pictures, made.readings, strict=True):
        print(f"{path.name}: {reading.marks} marks, {reading.division_px:.3f} px each, at {reading.angle_deg:.2f} deg;")
        print(f"  they lie within {max(abs(each.left_px) for each in reading.places):.2f} px of equal distances")
    size = made.size
    print(f"x: {um_text(size.x_um, digits=5)} per pixel, u = {um_text(size.u_x_um, digits=2)}")
    print(f"y: {um_text(size.y_um, digits=5)} per pixel, u = {um_text(size.u_y_um, digits=2)}")
    limit = Speaker("en", "mm", str).text(f"term.{size.largest.name}")
    print(f"what limits it: {limit}, {um_text(size.largest.u, digits=2)}")
    if size.square:
        print("one picture gives one axis; the other is taken to be like it (pixels square within 0.1 %)")
    _tell_distortion(made)


def _tell_distortion(made: "Calibrated") -> None:
    found = made.distortion
    print(
        f"distortion: the scale differs by up to {100 * found.half_width:.2f} % (u = {100 * found.most.u:.2f} %),"
        f" looked at up to {100 * found.reach:.0f} % of the way to a corner"
    )
    if not found.reaches_corners:
        print("of the corners that says nothing; `--corner FILE` takes a picture with the marks moved there")
    if found.exceeds(None, made.size):
        print("that is more than may be left out; `--write` states it for the setting, where less is stated by now")


def _length(text: str, option: str) -> "Length":
    from portal.model.scalars import read_length
    from portal.problem import PortalError

    try:
        return read_length(text)
    except ValueError as error:
        raise PortalError(f"{option}: {error}", code=2) from None
