"""Whole findings and trials, measured and judged from records alone."""

from typing import Any

import pytest

from portal.assess.finding import assess, assess_cluster
from portal.assess.scales import scales
from portal.assess.trial import assess_trial
from portal.model.catalogue import Catalogue
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Facts, Movie, Picture, PictureFacts, PictureUnreadable
from portal.model.result import Assessment, NoScale, Scale, TrialResult, Unmeasured
from portal.model.scalars import Frame
from portal.model.scope import Scope
from portal.model.shop import Shop
from portal.model.standard import VisualStandard
from portal.model.tag import Tag
from portal.model.terms import Answer, Rank, VerdictWord
from tests.judge.records import a_criterion, a_defect, a_mould, a_part, a_sample, a_standard, a_trial

SHA = "0" * 64
CONFORMS, FAILS = VerdictWord.CONFORMS, VerdictWord.DOES_NOT_CONFORM
UNDECIDED, NOT_JUDGED = VerdictWord.UNDECIDED, VerdictWord.NOT_JUDGED


def a_scope(until: str = "2027-01-01") -> Scope:
    """1 µm for a pixel at 400 × 300, looking straight down, valid from January 2026."""
    calibration = {"id": "C1", "frame": "400x300", "x": "1 um", "u_x": "0.001 um", "y": "1 um", "u_y": "0.001 um"}
    calibration |= {"artefact": "graticule", "date": "2026-01-01", "valid_until": until, "by": "k-ammer"}
    optics = {"objective": "1x", "zoom": "8", "click_stop": "true", "adapter": "0.5x", "camera": "C", "binning": "1"}
    record = {
        "format": "1",
        "type": "compound",
        "camera_path": "vertical",
        "tilt": {"angle": "0 deg", "u": "0.1 deg"},
        "working_distance": "80 mm",
        "settings": {"z8": {"optics": optics, "calibrations": [calibration], "return_u": "0.1 %"}},
        "id": "stereo-1",
        "file": "scopes/stereo-1.yaml",
    }
    return Scope.model_validate(record)


def a_height(um: float) -> dict[str, str]:
    """A gate vestige that stands so many µm above its surroundings."""
    base = "10,200 60,200 110,200 160,200 210,200"
    shape = {"characteristic": "height", "shape": "base-and-point", "base": base, "point": f"110,{200 - um}"}
    return shape | {"edge": "sharp", "drawn": "edge found", "height_difference": "0 mm"}


def a_finding(id: str = "7K3F", *heights: float, **other: Any) -> dict[str, Any]:
    """A gate vestige in zone B as it stands in a tag."""
    record = {"id": id, "defect": "gate-vestige", "zone": "B", "seen": "yes", "by": "k-ammer", "at": "2026-03-04T15:12"}
    return record | {"shapes": [a_height(um) for um in heights]} | other


def a_picture(name: str, *findings: dict[str, Any], **tag: Any) -> Picture:
    """A picture of cavity 1 in the gate's profile, shot 12."""
    record = {
        "format": "1",
        "picture": {"sha256": SHA, "stored": "400x300"},
        "cavity": "1",
        "shot": "12",
        "view": "gate-profile",
        "scope": "stereo-1",
        "setting": "z8",
        "findings": list(findings),
        "file": f"tags/{name}.yaml",
    }
    given = {key: value for key, value in (record | tag).items() if value is not None}
    return Picture(file=f"images/{name}", tag=Tag.model_validate(given))


def a_catalogue(*pictures: Picture, standard: VisualStandard | None = None, **other: Any) -> Catalogue:
    """One part, one mould, one trial with those pictures; gate vestige at most 0.150 mm in class B."""
    trial = other.pop("trial", a_trial(pictures=pictures))
    standard = standard or a_standard(a_criterion())
    shop = {"format": "1", "shop": {"name": "Halvenast Small Parts"}, "time_zone": "Europe/Vienna"}
    records: dict[str, Any] = {
        "shop": Shop.model_validate(shop | {"languages": ["en"], "people": {}}),
        "defects": {each.id: each for each in (a_defect(), a_defect("flash"), a_defect("sink-mark", edge="soft"))},
        "standards": {"small": {"3": standard}},
        "scopes": {"stereo-1": a_scope()},
        "parts": {"LC-0440": a_part()},
        "moulds": {"M-118": a_mould(trials={"T2": trial})},
    }
    return Catalogue(**(records | other))


def facts_of(catalogue: Catalogue, **other: Facts) -> dict[str, Facts]:
    """Every picture as it was tagged, save those named."""
    plain = PictureFacts(SHA, Frame(400, 300))
    return {
        picture.file: other.get(picture.name.replace(".", "_"), plain)
        for _, trial in catalogue.trials()
        for picture in trial.pictures
    }


def assessed(catalogue: Catalogue, **other: Facts) -> Assessment:
    """The first finding of the catalogue."""
    return assess(next(catalogue.findings()), facts_of(catalogue, **other), catalogue)


def whole(catalogue: Catalogue, part: Part | None = None, **other: Facts) -> TrialResult:
    """The trial as a whole, for the lens collar."""
    mould = catalogue.moulds["M-118"]
    facts = facts_of(catalogue, **other)

    def judged(mould: Mould, trial: Trial, pictures: tuple[Picture, ...]) -> tuple[Assessment, ...]:
        return assess_cluster(mould, trial, pictures, facts, catalogue)

    return assess_trial(part or a_part(), mould, mould.trials["T2"], facts, catalogue, judge_cluster=judged)


def test_nothing_is_measured_in_a_movie() -> None:
    """Whatever was drawn on the frame that stands for it."""
    moving = PictureFacts(SHA, Frame(400, 300), movie=Movie("h264", frames=50, seconds=2.0))
    found = assessed(a_catalogue(a_picture("a_mp4", a_finding("7K3F", 100.0))), a_mp4=moving)
    assert found.verdict.word is NOT_JUDGED
    assert [each.reason.key for each in found.readings if isinstance(each, Unmeasured)] == ["measure.no-scale.movie"]


@pytest.mark.parametrize(("um", "word"), [(100.0, CONFORMS), (149.0, UNDECIDED), (190.0, FAILS)])
def test_a_measured_height_is_judged(um: float, word: VerdictWord) -> None:
    """At most 0.150 mm; 1 µm for a pixel, so 100 px are 0.100 mm."""
    found = assessed(a_catalogue(a_picture("a.jpg", a_finding("7K3F", um))))
    assert found.verdict.word is word
    (reading,) = found.measured()
    assert reading.value == pytest.approx(um, abs=1.0)
    assert found.held[0].measurement is reading
    assert (found.finding, found.part, found.cavity, found.picture) == ("7K3F", "LC-0440", "1", "images/a.jpg")


def test_nothing_agreed_shows_the_value() -> None:
    """A defect class that no criterion names: not judged, and the height is there."""
    found = assessed(a_catalogue(a_picture("a.jpg", a_finding("7K3F", 100.0, defect="flash"))))
    assert (found.verdict.word, found.verdict.key) == (NOT_JUDGED, "verdict.not-agreed")
    assert found.applied is None and len(found.measured()) == 1


def test_the_criterion_that_applied_and_those_set_aside_are_named() -> None:
    """A drawing note of the part goes before the shop's standard."""
    part = a_part(criteria=[a_criterion(id="NOTE", rank="drawing", rule="none", limits=[])])
    found = assessed(a_catalogue(a_picture("a.jpg", a_finding("7K3F", 100.0)), parts={"LC-0440": part}))
    assert found.applied is not None and found.applied.rank is Rank.DRAWING
    assert [each.criterion.id for each in found.set_aside] == ["GV-B"]
    assert found.verdict.word is FAILS


@pytest.mark.parametrize(
    ("seen", "expected"), [("no", (CONFORMS, "verdict.not-seen")), ("not checked", (NOT_JUDGED, "verdict.not-checked"))]
)
def test_what_was_seen_at_the_set_condition_decides(seen: str, expected: tuple[VerdictWord, str]) -> None:
    """However high it measures."""
    found = assessed(a_catalogue(a_picture("a.jpg", a_finding("7K3F", 190.0, seen=seen))))
    assert (found.verdict.word, found.verdict.key) == expected


def test_a_height_drawn_face_on_is_refused_with_the_reason() -> None:
    """The top view sees zone B face-on."""
    found = assessed(a_catalogue(a_picture("a.jpg", a_finding("7K3F", 100.0), view="top")))
    assert (found.verdict.word, found.verdict.key) == (NOT_JUDGED, "verdict.not-measured")
    (reading,) = found.readings
    assert isinstance(reading, Unmeasured) and found.verdict.sentence.get("why") == reading.reason


def test_a_gauge_gives_what_the_view_cannot() -> None:
    """Focus height as two readings: 0.100 mm, whatever the picture sees."""
    gauge = {"characteristic": "height", "readings": ["99 um", "101 um"], "instrument": "focus", "u": "2 um"}
    found = assessed(a_catalogue(a_picture("a.jpg", a_finding("7K3F", gauge=[gauge]), view="top")))
    assert found.verdict.word is CONFORMS
    assert [each.value for each in found.measured()] == [100.0]


def test_the_outline_of_a_soft_class_is_information() -> None:
    """The extent of a sink face-on has a value and no verdict."""
    points = "100,100 200,100 200,200 100,200"
    outline = {"characteristic": "length", "shape": "outline", "points": points, "edge": "soft", "drawn": "by hand"}
    extent = a_criterion(defect="sink-mark", limits=[{"characteristic": "length", "max": "1 mm"}])
    finding = a_finding("7K3F", defect="sink-mark", shapes=[outline])
    found = assessed(a_catalogue(a_picture("a.jpg", finding, view="top"), standard=a_standard(extent)))
    assert (found.verdict.word, found.verdict.key) == (NOT_JUDGED, "verdict.soft-edge")
    assert len(found.measured()) == 1


def test_a_picture_replaced_since_it_was_tagged_is_not_measured() -> None:
    """Other bytes under the same name: not judged, and the trial has a gap."""
    catalogue = a_catalogue(a_picture("a.jpg", a_finding("7K3F", 100.0)))
    other = PictureFacts("1" * 64, Frame(400, 300))
    found = assessed(catalogue, a_jpg=other)
    assert (found.verdict.word, found.verdict.key) == (NOT_JUDGED, "verdict.not-measured")
    assert found.measured() == ()
    frame = whole(catalogue, a_jpg=other).sheet[0]
    assert (frame.cavity, frame.view, frame.missing) == ("1", "gate-profile", 1)


@pytest.mark.parametrize("facts", [{"a_jpg": PictureUnreadable("not a picture")}, {}], ids=["unreadable", "not there"])
def test_a_finding_on_an_unreadable_picture_has_no_verdict(facts: dict[str, Facts]) -> None:
    """Even where nothing has to be measured."""
    forbidden = a_standard(a_criterion(rule="none", limits=[]))
    catalogue = a_catalogue(a_picture("a.jpg", a_finding("7K3F", 100.0)), standard=forbidden)
    found = assess(
        next(catalogue.findings()), {f"images/{key.replace('_', '.')}": facts[key] for key in facts}, catalogue
    )
    assert (found.verdict.word, found.verdict.key) == (NOT_JUDGED, "verdict.not-judged")
    assert found.verdict.reason is not None and found.verdict.reason.key == "reason.picture-unreadable"
    assert all(isinstance(each, Unmeasured) for each in found.readings) and len(found.readings) == 1


def test_shapes_on_another_picture_of_the_piece_belong_to_the_finding() -> None:
    """Drawn under `also` in the profile; the finding itself is written under the top view."""
    more = {"finding": "7K3F", "shapes": [a_height(190.0)], "by": "k-ammer", "at": "2026-03-04T15:20"}
    profile = a_picture("b.jpg", also=[more])
    found = assessed(a_catalogue(a_picture("a.jpg", a_finding("7K3F"), view="top"), profile))
    assert found.verdict.word is FAILS
    (reading,) = found.measured()
    assert reading.picture == "images/b.jpg"


def test_each_shape_is_measured_once_on_the_picture_it_was_drawn_on() -> None:
    """Two shapes of one finding, on two pictures: two readings, the worst of them held."""
    more = {"finding": "7K3F", "shapes": [a_height(120.0)], "by": "k-ammer", "at": "2026-03-04T15:20"}
    found = assessed(a_catalogue(a_picture("a.jpg", a_finding("7K3F", 100.0)), a_picture("b.jpg", also=[more])))
    assert [each.picture for each in found.measured()] == ["images/a.jpg", "images/b.jpg"]
    assert found.held[0].measurement is found.measured()[1]


def test_a_broken_tag_has_no_findings_and_its_trial_does_not_conform() -> None:
    """Nobody knows what stood in it."""
    broken = Picture(file="images/b.jpg", tag_broken="tags/b.jpg.yaml:4")
    complete = complete_pictures()
    assert whole(a_catalogue(*complete)).whole.word is CONFORMS
    assert whole(a_catalogue(*complete, broken)).whole.word is NOT_JUDGED


@pytest.mark.parametrize(
    ("key", "reason"),
    [
        (("part", "LC-0440"), "reason.part-broken"),
        (("defect", "gate-vestige"), "reason.defect-broken"),
        (("standard", "small/3"), "reason.standard-broken"),
    ],
)
def test_what_depends_on_a_broken_record_names_its_line(key: tuple[str, str], reason: str) -> None:
    """Not judged, with file and line."""
    emptied: dict[str, Any] = {"part": {"parts": {}}, "defect": {"defects": {}}, "standard": {"standards": {}}}[key[0]]
    catalogue = a_catalogue(a_picture("a.jpg", a_finding("7K3F", 100.0)), broken={key: "x.yaml:7"}, **emptied)
    found = assessed(catalogue)
    assert found.verdict.word is NOT_JUDGED and found.verdict.reason is not None
    assert (found.verdict.reason.key, found.verdict.reason.get("where")) == (reason, "x.yaml:7")


def test_a_cavity_that_the_mould_has_not_is_named() -> None:
    """Without its cavity a finding has no part, and keeps the trial from conforming."""
    catalogue = a_catalogue(*complete_pictures(), a_picture("x.jpg", a_finding("7K3F", 100.0), cavity="9"))
    found = assess(list(catalogue.findings())[-1], facts_of(catalogue), catalogue)
    assert found.part is None
    assert found.verdict.reason is not None and found.verdict.reason.key == "reason.cavity-unknown"
    result = whole(catalogue)
    assert result.assessments == () and result.whole.word is NOT_JUDGED


def test_across_a_border_the_stricter_zone_rules() -> None:
    """Zone A allows none, zone B up to 0.150 mm: written `A/B`, it does not conform."""
    views = {"gate-profile": {"picture": "always", "sees": {"A": {"as": "profile"}, "B": {"as": "profile"}}}}
    standard = a_standard(a_criterion(), a_criterion(id="GV-A", zone_class="A", rule="none", limits=[]))
    picture = a_picture("a.jpg", a_finding("7K3F", 100.0, zone="B/A"))
    found = assessed(a_catalogue(picture, standard=standard, parts={"LC-0440": a_part(views=views)}))
    assert (found.verdict.word, found.stricter_of) == (FAILS, ("B", "A"))
    assert found.applied is not None and found.applied.criterion.id == "GV-A"
    assert found.verdict.sentence.key == "verdict.border"


@pytest.mark.parametrize(
    ("taken", "camera", "expected"),
    [
        ("2026-01-01T10:00", "2027-05-01T10:00:00", True),
        (None, "2027-05-01T10:00:00", False),
        (None, "garbled", True),
        (None, None, True),
    ],
)
def test_the_day_of_a_picture_is_its_tags_then_its_own_then_the_trials(
    taken: str | None, camera: str | None, expected: bool
) -> None:
    """The calibration is valid from 1 January 2026 to 1 January 2027; the trial is of 4 March 2026."""
    catalogue = a_catalogue(a_picture("a.jpg", a_finding("7K3F", 100.0), taken=taken))
    found = assessed(catalogue, a_jpg=PictureFacts(SHA, Frame(400, 300), taken=camera))
    assert bool(found.measured()) is expected


def test_every_picture_has_a_scale_or_a_reason() -> None:
    """Tagged, untagged, with a broken tag, unreadable; pictures of limit samples by the day of agreement."""
    shown = {"file": "gate.jpg", "sha256": SHA, "stored": "400x300", "scope": "stereo-1", "setting": "z8"}
    pictures = (
        a_picture("a.jpg"),
        Picture(file="images/b.jpg"),
        Picture(file="images/c.jpg", tag_broken="c.yaml:2"),
        a_picture("d.jpg"),
    )
    catalogue = a_catalogue(*pictures, limit_samples={"LS-0007": a_sample(pictures=[shown])})
    facts = facts_of(catalogue, d_jpg=PictureUnreadable("cut off"))
    facts["limit-samples/LS-0007/gate.jpg"] = PictureFacts(SHA, Frame(400, 300))
    found = scales(catalogue, facts)
    assert {file for file, scale in found.items() if isinstance(scale, Scale)} == {
        "images/a.jpg",
        "limit-samples/LS-0007/gate.jpg",
    }
    reasons = {file: scale.reason.key for file, scale in found.items() if isinstance(scale, NoScale)}
    assert reasons["images/c.jpg"] == "reason.tag-broken"
    assert reasons["images/d.jpg"] == "reason.picture-unreadable"


@pytest.mark.parametrize(("pixels", "scaled"), [(100, True), (110, False)])
def test_a_failed_check_takes_the_scale_from_pictures_of_limit_samples_too(pixels: int, scaled: bool) -> None:
    """The graticule of 0.1 mm was looked at in February; the sample was agreed in March."""
    check = {"picture": "g.png", "points": f"0,0 {pixels},0", "length": "0.1 mm", "at": "2026-02-20T08:00", "by": "x"}
    scope = a_scope().model_dump(by_alias=True, mode="json", exclude_none=True)
    scope["settings"]["z8"]["checks"] = [check]
    shown = {"file": "gate.jpg", "sha256": SHA, "stored": "400x300", "scope": "stereo-1", "setting": "z8"}
    samples = {"LS-0007": a_sample(pictures=[shown])}
    catalogue = a_catalogue(limit_samples=samples, scopes={"stereo-1": Scope.model_validate(scope)})
    plain = PictureFacts(SHA, Frame(400, 300))
    found = scales(catalogue, {"limit-samples/LS-0007/gate.jpg": plain, "scopes/g.png": plain})
    assert isinstance(found["limit-samples/LS-0007/gate.jpg"], Scale) is scaled


@pytest.mark.parametrize(("native", "scaled"), [(None, False), ("400x300", True), ("900x300", False)])
def test_a_stitched_picture_is_measured_by_the_frame_of_its_single_pictures(native: str | None, scaled: bool) -> None:
    """900 pixels wide, of pictures of 400; without that frame nobody knows what its pixels became."""
    picture = a_picture("a.jpg", a_finding("7K3F", 100.0), made="stitched", native=native)
    found = assessed(a_catalogue(picture), a_jpg=PictureFacts(SHA, Frame(900, 300), declared=Frame(400, 300)))
    assert bool(found.measured()) is scaled


def complete_pictures() -> tuple[Picture, ...]:
    """Both running cavities in both views, nothing found."""
    return tuple(
        a_picture(f"{cavity}-{view}.jpg", cavity=cavity, view=view)
        for cavity in ("1", "2")
        for view in ("gate-profile", "top")
    )


def test_a_trial_conforms_where_all_was_looked_at_and_all_conforms() -> None:
    """Four frames, four pictures, one finding inside its limit."""
    pictures = complete_pictures()[1:]
    result = whole(a_catalogue(a_picture("first.jpg", a_finding("7K3F", 100.0)), *pictures))
    assert result.whole.word is CONFORMS
    assert {mark: each.word for mark, each in result.cavities.items()} == {"1": CONFORMS, "2": CONFORMS}
    assert result.asks == ()


def test_one_missing_frame_keeps_the_trial_from_conforming() -> None:
    """Cavity 2 was never looked at from the top."""
    result = whole(a_catalogue(*complete_pictures()[:-1]))
    assert result.whole.word is NOT_JUDGED
    assert {mark: each.word for mark, each in result.cavities.items()} == {"1": CONFORMS, "2": NOT_JUDGED}


def test_a_trial_gathers_its_asks_over_cavities() -> None:
    """Undecided gate vestiges of cavities 1 and 2 are one ask; the worst finding names the trial."""
    first = a_picture("first.jpg", a_finding("7K3F", 149.0))
    second = a_picture("second.jpg", a_finding("7K3G", 149.5), a_finding("7K3H", 100.0), cavity="2")
    result = whole(a_catalogue(first, second, *complete_pictures()))
    assert result.whole.word is UNDECIDED
    (ask,) = result.asks
    assert (ask.findings, ask.cavities) == (("7K3F", "7K3G"), ("1", "2"))
    assert ask.answers[-1] is Answer.QUESTION_BACK


def test_findings_of_another_part_of_a_family_mould_are_not_this_parts() -> None:
    """Cavity 2 makes another part: its findings, and its frames, stay away."""
    cavities = {"1": {"part": "LC-0440", "status": "running"}, "2": {"part": "LC-0441", "status": "running"}}
    trial = a_trial(pictures=(a_picture("b.jpg", a_finding("7K3G", 190.0), cavity="2"), *complete_pictures()[:2]))
    mould = a_mould(cavities=cavities, trials={"T2": trial})
    other = a_part(id="LC-0441", file="parts/LC-0441/part.yaml")
    catalogue = a_catalogue(moulds={"M-118": mould}, parts={"LC-0440": a_part(), "LC-0441": other})
    assert whole(catalogue).whole.word is CONFORMS
    assert whole(catalogue, other).whole.word is FAILS
    assert set(whole(catalogue, other).cavities) == {"2"}
