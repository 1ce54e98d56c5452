"""What the browser may send, each request as a closed record; anything else is refused before it is looked at."""

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

Key = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{20}$")]
Name = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Words = Annotated[str, StringConstraints(max_length=20_000)]
Short = Annotated[str, StringConstraints(max_length=200)]
Digest = Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{64})?$")]
Hash = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Number = Annotated[int, Field(ge=0, le=2**53 - 1)]
Plain = dict[Annotated[str, StringConstraints(max_length=60)], Any]
"""What stands in a tag, as plain data; the catalogue's own reader says what of it is right."""


class Body(BaseModel):
    """A request's body: no key more than it knows, no value turned into another kind."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class Place(Body):
    """What a picture shows and how it was made, as the page has it; an empty text is none."""

    cavity: Words = ""
    shot: Words = ""
    piece: Words = ""
    view: Words = ""
    scope: Words = ""
    setting: Words = ""
    made: Words = ""


class Placed(Body):
    """A picture that nobody tagged yet as the page says it is; nothing is written."""

    picture: Key
    place: Place


class Question(Body):
    """A finding as it is drawn, to be measured and judged; the answer carries the number."""

    number: Number
    picture: Key
    place: Place
    finding: Plain
    shown: Digest = ""
    """Of the picture's file as the page shows it."""
    what: Literal["finding", "also"] = "finding"
    """Whether it is written under this picture, or this one only adds to it."""


class Save(Body):
    """A finding to be written; `seen` is the digest of what the page was given of it, empty where it is new.

    The page gives a new one its id, so that it is the same one however often it is sent. With neither a finding nor an
    id, only what the picture shows is written. Of masks and a known feature, `finding` holds the `masks` or the
    `points`.
    """

    number: Number
    picture: Key
    place: Place
    place_seen: Digest
    finding: Plain | None
    id: Annotated[str, StringConstraints(pattern=r"^([0-9A-HJKMNP-TV-Z]{4})?$")]
    """Empty for a new one that is to be given an id here; without a finding: the one to be taken away."""
    seen: Digest
    by: Name
    what: Literal["finding", "also", "masks", "known", "reference", "bar"] = "finding"
    shown: Digest = ""


class Edges(Body):
    """A drawn shape whose points shall move onto the edges nearby."""

    number: Number
    picture: Key
    shape: Plain
    shown: Digest = ""


class MarkChecked(Body):
    """Somebody checked a trial; `seen` is the digest of the mark that the page was given, empty for none."""

    trial: Key
    by: Name
    seen: Digest


class HoldsToo(Body):
    """The tag of a picture that was replaced holds for the one that the page shows, by its digest."""

    picture: Key
    shown: Hash
    by: Name


class NothingSeen(Body):
    """Looked at, nothing seen."""

    trial: Key
    cavity: Name
    view: Name
    shot: Annotated[str, StringConstraints(pattern=r"^[0-9]{1,9}$")]
    condition: Name
    by: Name


class Reading(Body):
    """Pictures of a stage micrometer: one, or two that are turned against each other, and some towards the corners."""

    scope: Name
    setting: Name
    pictures: Annotated[list[Key], Field(min_length=1, max_length=2)]
    corners: Annotated[list[Key], Field(max_length=20)]
    pitch: Short
    u: Short
    """Standard uncertainty of the distance over its marks, as its certificate says."""


class WriteCalibration(Reading):
    """The same, to be written for the setting."""

    artefact: Name
    certificate: Short
    valid_until: Short
    by: Name
    shown: Annotated[list[Digest], Field(max_length=22)] = []
    """Of the pictures and the corners as the page was given them: by these they are known where they were written
    already and taken out of the trial, and the page never heard of it."""


class Check(Body):
    """A check of a setting: by divisions of that pitch, or by a line that was drawn over that length."""

    scope: Name
    setting: Name
    picture: Key
    pitch: Short
    points: Short
    length: Short


class WriteCheck(Check):
    """The same, to be written for the setting."""

    by: Name
    shown: Digest = ""
    """Of the picture as the page was given it."""


class LookBack(Body):
    """All that a check or a calibration put in doubt was gone through; `name` is its time, or its id."""

    scope: Name
    setting: Name
    kind: Literal["checks", "calibrations"]
    place: Annotated[int, Field(ge=0, le=100_000)]
    name: Name
    note: Annotated[str, StringConstraints(max_length=4000)]
    by: Name


class LookAgain(LookBack):
    """One finding of these was looked at again."""

    part: Name
    finding: Annotated[str, StringConstraints(pattern=r"^[0-9A-HJKMNP-TV-Z]{4}$")]
    result: Literal["same", "changed"]


class Said(Body):
    """Words about a finding, else about the picture, or about a spot on it; an empty text is none."""

    picture: Key
    finding: Annotated[str, StringConstraints(pattern=r"^([0-9A-HJKMNP-TV-Z]{4})?$")]
    spot: Short
    words: Annotated[str, StringConstraints(max_length=4000)]
    by: Name
    known: Annotated[list[Hash], Field(max_length=2000)] | None = None
    """The events that were told about the picture when the words were written: another one that says the same of the
    same is this one, written though the page never heard of it."""


class Ask(Said):
    """A question to the customer."""

    due: Short
    in_words: bool
    """Though the verdict has answers of its own."""
    as_it_is: bool
    """Though it may seem to ask two things."""


class Note(Said):
    """A remark that decides nothing."""

    shared: bool
    """Whether the customer sees it."""
