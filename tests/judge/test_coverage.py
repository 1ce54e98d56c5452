"""The cavity × view sheet."""

from typing import Any

from portal.judge.coverage import blocked, missing, running, sheet
from portal.model.mould import Looked
from portal.model.picture import Picture
from portal.model.result import SheetFrame
from portal.model.tag import Tag
from tests.judge.records import a_mould, a_part, a_trial


def a_picture(name: str, **tag: Any) -> Picture:
    """A tagged picture of the trial."""
    record = {"format": "1", "picture": {"sha256": "0" * 64, "stored": "400x300"}, "file": f"{name}.yaml"}
    return Picture(file=f"images/{name}.jpg", tag=Tag.model_validate(record | tag))


def a_look(cavity: str, view: str, shot: str) -> Looked:
    """Looked at, nothing seen."""
    record = {"format": "1", "cavity": cavity, "view": view, "shot": shot, "condition": "ring", "by": "k-ammer"}
    file = f"looked/{cavity}-{view}-{shot}.yaml"
    return Looked.model_validate(record | {"at": "2026-03-04T15:12", "file": file})


def frames(*, left_out: tuple[str, ...] = (), **trial: Any) -> dict[tuple[str, str], SheetFrame]:
    """The sheet by cavity and view."""
    found = sheet(a_part(), a_mould(), a_trial(**trial), left_out=left_out)
    return {(frame.cavity, frame.view): frame for frame in found}


def one(*, left_out: tuple[str, ...] = (), **trial: Any) -> SheetFrame:
    """The frame of cavity 1 in the gate's profile, which always needs a picture."""
    return frames(left_out=left_out, **trial)["1", "gate-profile"]


def test_running_cavities_times_views() -> None:
    """Cavity 3 is blocked: two cavities, two views, four frames, all missing."""
    found = frames()
    assert list(found) == [("1", "gate-profile"), ("1", "top"), ("2", "gate-profile"), ("2", "top")]
    assert all(frame.missing == 1 for frame in found.values())


def test_blocked_cavities_are_left_out_and_named() -> None:
    """With the reason that the mould's record gives."""
    assert running("LC-0440", a_mould()) == ("1", "2")
    assert blocked("LC-0440", a_mould()) == (("3", "core broken"),)


def test_cavities_of_another_part_are_not_on_the_sheet() -> None:
    """A family mould makes several parts; each has its own sheet."""
    mould = a_mould(cavities={"1": {"part": "LC-0440", "status": "running"}, "2": {"part": "X-1", "status": "running"}})
    assert {frame.cavity for frame in sheet(a_part(), mould, a_trial())} == {"1"}


def test_a_picture_completes_its_frame_and_no_other() -> None:
    """Cavity and view come from the tag."""
    found = frames(pictures=(a_picture("a", cavity="1", view="gate-profile", shot="12"),))
    assert [key for key, frame in found.items() if not frame.missing] == [("1", "gate-profile")]
    assert found["1", "gate-profile"].pictures == ("images/a.jpg",)


def test_looked_at_counts_where_no_picture_is_needed() -> None:
    """`if found` is satisfied by having looked; `always` isn't, and says that a picture is missing."""
    found = frames(looked=(a_look("1", "top", "12"), a_look("1", "gate-profile", "12")))
    assert found["1", "top"].missing == 0
    profile = found["1", "gate-profile"]
    assert (profile.missing, profile.reason) == (1, "picture")
    assert profile.looked == ("looked/1-gate-profile-12.yaml",)


def test_a_shot_counts_once_however_many_pictures_it_has() -> None:
    """Three shots required; two pictures of shot 12 and one of 13 leave one."""
    trial = a_trial().shots.model_copy(update={"required": 3})
    pictures = tuple(
        a_picture(name, cavity="1", view="gate-profile", shot=shot)
        for name, shot in (("a", "12"), ("b", "12"), ("c", "13"))
    )
    assert one(shots=trial, pictures=pictures).missing == 1


def test_pictures_without_a_shot_count_as_one_together() -> None:
    """Nobody knows whether they show one shot or two."""
    shots = a_trial().shots.model_copy(update={"required": 3})
    pictures = tuple(a_picture(name, cavity="1", view="gate-profile") for name in "ab")
    assert one(shots=shots, pictures=pictures).missing == 2


def test_looked_and_pictured_shots_add_up() -> None:
    """A picture of shot 12 and a look at shots 12 and 13 make two shots."""
    shots = a_trial().shots.model_copy(update={"required": 2})
    pictures = (a_picture("a", cavity="1", view="top", shot="12"),)
    looked = (a_look("1", "top", "12"), a_look("1", "top", "13"))
    assert frames(shots=shots, pictures=pictures, looked=looked)["1", "top"].missing == 0


def test_more_than_required_is_not_less_than_nothing_missing() -> None:
    """Missing never goes below zero."""
    pictures = tuple(a_picture(shot, cavity="1", view="gate-profile", shot=shot) for shot in ("12", "13", "14"))
    assert one(pictures=pictures).missing == 0


def test_a_trial_that_requires_no_shot_still_needs_one_look() -> None:
    """Nothing conforms unseen."""
    assert one(shots=a_trial().shots.model_copy(update={"required": 0})).missing == 1


def test_pictures_that_show_nothing_are_left_out() -> None:
    """An unreadable or replaced picture completes no frame."""
    picture = a_picture("a", cavity="1", view="gate-profile", shot="12")
    assert one(pictures=(picture,), left_out=(picture.file,)).missing == 1


def test_untagged_pictures_count_for_nothing() -> None:
    """Without a tag nobody knows what a picture shows."""
    assert one(pictures=(Picture(file="images/a.jpg"), Picture(file="images/b.jpg", tag_broken="b.yaml:3"))).missing


def test_findings_are_listed_with_the_pictures_that_show_them() -> None:
    """Its own picture, and another one of the same piece; each id once."""
    finding = {"id": "7K3F", "defect": "flash", "zone": "B", "seen": "yes", "by": "k-ammer", "at": "2026-03-04T15:12"}
    more = {"finding": "7K3F", "shapes": [], "by": "k-ammer", "at": "2026-03-04T15:20"}
    pictures = (
        a_picture("a", cavity="1", view="gate-profile", shot="12", findings=[finding], also=[more]),
        a_picture("b", cavity="1", view="top", shot="12", also=[more]),
    )
    found = frames(pictures=pictures)
    assert found["1", "gate-profile"].findings == ("7K3F",)
    assert found["1", "top"].findings == ("7K3F",)


def test_what_is_missing_is_said() -> None:
    """A picture where one is always needed, else a shot to be looked at; nothing where all is there."""
    found = frames(looked=(a_look("2", "top", "12"),))
    picture, shot = missing(found["1", "gate-profile"]), missing(found["1", "top"])
    assert picture is not None and picture.key == "missing.picture"
    assert shot is not None and shot.key == "missing.shots"
    assert missing(found["2", "top"]) is None
