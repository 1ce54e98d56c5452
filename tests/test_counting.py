"""Counts and spacing through whole findings: what is drawn on one picture, judged as a group."""

from typing import Any

import pytest

from portal.assess.finding import assess
from portal.model.catalogue import Catalogue
from portal.model.picture import Picture, PictureFacts
from portal.model.result import Assessment
from portal.model.scalars import Frame
from portal.model.standard import Criterion
from portal.model.terms import VerdictWord
from portal.site.words import Speaker
from tests.judge.countables import counting
from tests.judge.records import a_defect, a_part, a_standard
from tests.test_assess import a_catalogue, a_finding, a_picture, facts_of, whole

CONFORMS, FAILS = VerdictWord.CONFORMS, VerdictWord.DOES_NOT_CONFORM
UNDECIDED, NOT_JUDGED = VerdictWord.UNDECIDED, VerdictWord.NOT_JUDGED
SPEAKER = Speaker("en", "mm", lambda slug: slug.replace("-", " "))
DEFECTS = {each.id: each for each in (a_defect("black-speck"), a_defect("bubble"), a_defect("hair", edge="soft"))}


def points(*at: tuple[float, float], characteristic: str = "count") -> dict[str, str]:
    """Specks marked by points."""
    text = " ".join(f"{x},{y}" for x, y in at)
    return {"characteristic": characteristic, "shape": "point", "points": text, "edge": "sharp", "drawn": "by hand"}


def speck(diameter: float, at: tuple[float, float], characteristic: str = "count") -> dict[str, str]:
    """A round speck, px or µm."""
    x, y, reach = *at, diameter / 2
    drawn = {"edge": "sharp", "drawn": "edge found", "characteristic": characteristic, "shape": "ellipse"}
    return drawn | {"points": f"{x - reach},{y} {x + reach},{y} {x},{y + reach}"}


def specks(id: str, *shapes: dict[str, str], **other: Any) -> dict[str, Any]:
    """A finding of black specks in zone B that says that the picture shows all of the zone."""
    record = {"defect": "black-speck", "shapes": list(shapes), "whole_zone": "true"}
    return a_finding(id, **(record | other))


def shown(*findings: dict[str, Any], name: str = "a.jpg", **other: Any) -> Picture:
    """A picture from the top, which sees zones A and B face on; 1 µm for a pixel, 400 × 300 µm."""
    return a_picture(name, *findings, **({"view": "top"} | other))


def catalogue(criterion: Criterion, *pictures: Picture, **other: Any) -> Catalogue:
    """One criterion, and those pictures of one trial."""
    return a_catalogue(*pictures, standard=a_standard(criterion), defects=DEFECTS, **other)


def judged(criterion: Criterion, *pictures: Picture, **other: Any) -> list[Assessment]:
    """Every finding of those pictures."""
    every = catalogue(criterion, *pictures, **other)
    return [assess(found, facts_of(every), every) for found in every.findings()]


def words(criterion: Criterion, *pictures: Picture, **other: Any) -> list[VerdictWord]:
    """The word of every finding."""
    return [each.verdict.word for each in judged(criterion, *pictures, **other)]


@pytest.mark.parametrize(("n", "word"), [(2, CONFORMS), (3, FAILS)])
def test_each_point_of_a_point_shape_counts(n: int, word: VerdictWord) -> None:
    """At most two in the zone."""
    finding = specks("7K3F", points(*((50.0 * k + 50, 100.0) for k in range(n))))
    (found,) = judged(counting({"max": "2"}), shown(finding))
    assert found.verdict.word is word
    assert found.readings == ()
    assert found.held[0].limit.characteristic == "count"


def test_all_findings_of_a_class_on_one_picture_count_together() -> None:
    """Two findings of one and two specks: both do not conform, with the same sentence."""
    first = specks("7K3F", points((50.0, 50.0)))
    second = specks("7K3G", points((90.0, 50.0), (120.0, 50.0)))
    found = judged(counting({"max": "2"}), shown(first, second))
    assert [each.verdict.word for each in found] == [FAILS, FAILS]
    assert found[0].verdict.sentence == found[1].verdict.sentence
    assert words(counting({"max": "2"}), shown(first), shown(second, name="b.jpg")) == [CONFORMS, CONFORMS]


def test_other_classes_other_zones_and_other_pictures_count_for_themselves() -> None:
    """One of each beside one speck against at most one."""
    one = specks("7K3F", points((50.0, 50.0)))
    others = specks("7K3G", points((90.0, 50.0)), defect="bubble"), specks("7K3H", points((90.0, 90.0)), zone="A")
    elsewhere = shown(specks("7K3J", points((50.0, 50.0))), name="b.jpg")
    assert words(counting({"max": "1"}), shown(one, *others), elsewhere)[0] is CONFORMS


def test_a_total_takes_another_class_in() -> None:
    """A speck and a bubble against one of both; the bubble has no criterion of its own."""
    one, other = specks("7K3F", points((50.0, 50.0))), specks("7K3G", points((90.0, 50.0)), defect="bubble")
    criterion = counting({"max": "1", "together_with": ["bubble"]})
    assert words(criterion, shown(one, other)) == [FAILS, NOT_JUDGED]


def test_a_finding_across_a_border_counts_in_both_zones() -> None:
    """Written `A/B`: one of the specks of zone B."""
    one, border = specks("7K3F", points((50.0, 50.0))), specks("7K3G", points((90.0, 50.0)), zone="A/B")
    assert words(counting({"max": "1"}), shown(one, border))[0] is FAILS


def test_more_of_a_finding_drawn_on_another_picture_counts_there() -> None:
    """Written under the profile, drawn from the top; what it says of the zone it says of the profile."""
    both = points((50.0, 50.0), (90.0, 50.0))
    more = {"finding": "7K3F", "shapes": [both], "by": "k-ammer", "at": "2026-03-04T15:20"}
    profile = shown(specks("7K3F"), view="gate-profile")
    assert words(counting({"max": "1"}), profile, shown(name="b.jpg", also=[more])) == [FAILS]
    assert words(counting({"max": "2"}), profile, shown(name="b.jpg", also=[more])) == [NOT_JUDGED]
    other = specks("7K3G", points((120.0, 50.0)))
    assert words(counting({"max": "2"}), profile, shown(other, name="b.jpg", also=[more])) == [FAILS, FAILS]


def test_of_several_pictures_the_worst_that_gives_a_verdict_counts() -> None:
    """One shows all of the zone, the other a part of it; where either shows too many, it fails."""
    criterion = counting({"max": "2"})

    def pair(there: int) -> tuple[Picture, Picture]:
        drawn = points(*((50.0 * k + 50, 100.0) for k in range(there)))
        more = {"finding": "7K3F", "shapes": [drawn], "by": "k-ammer", "at": "2026-03-04T15:20"}
        part = shown(name="b.jpg", also=[more])
        return shown(specks("7K3F", points((50.0, 50.0)))), part

    assert words(criterion, *pair(1)) == [CONFORMS]
    assert words(criterion, *pair(3)) == [FAILS]


@pytest.mark.parametrize("characteristic", ["count", "diameter", "area"])
def test_a_size_is_the_mean_diameter_whatever_the_shape_was_drawn_for(characteristic: str) -> None:
    """0.080 and 0.150 mm against none from 0.1 to 0.2 mm."""
    band = counting({"from": "0.1 mm", "to": "0.2 mm", "max": "0"})
    for diameter, word in ((80, CONFORMS), (150, FAILS)):
        assert words(band, shown(specks("7K3F", speck(diameter, (100, 150), characteristic)))) == [word]


def test_a_size_near_a_border_is_undecided_and_named() -> None:
    """0.101 mm against none from 0.1 mm on."""
    (found,) = judged(counting({"from": "0.1 mm", "max": "0"}), shown(specks("7K3F", speck(101, (100, 150)))))
    assert (found.verdict.word, found.verdict.key) == (UNDECIDED, "verdict.count-undecided")
    text = SPEAKER.say(found.verdict.sentence)
    assert "black speck of 0.1 mm and more in zone B: 0 for certain and up to 1, against" in text
    assert "It is decided by 7K3F (0.1010 mm ±" in text


def test_what_was_drawn_twice_counts_once() -> None:
    """For its diameter and again for its area."""
    twice = specks("7K3F", speck(80, (100, 150), "diameter"), speck(80, (100, 150), "area"))
    assert words(counting({"max": "1"}), shown(twice)) == [CONFORMS]
    counted = specks("7K3F", speck(80, (100, 150), "diameter"), points((50.0, 50.0), (60.0, 60.0)))
    assert words(counting({"max": "1"}), shown(counted)) == [FAILS]


def test_its_own_limits_are_judged_too() -> None:
    """At most three, none larger than 0.1 mm: the large one fails for itself, the small one conforms."""
    limits = [{"characteristic": "diameter", "max": "0.1 mm"}]
    criterion = counting({"max": "3"}, limits=limits)
    large, small = specks("7K3F", speck(150, (100, 150), "diameter")), specks("7K3G", speck(50, (300, 150), "diameter"))
    assert words(criterion, shown(large, small)) == [FAILS, CONFORMS]
    assert words(counting({"max": "1"}, limits=limits), shown(large, small)) == [FAILS, FAILS]


def test_unless_the_tag_says_so_a_picture_does_not_show_all_of_the_zone() -> None:
    """Said of one finding of the zone, it holds for the picture."""
    silent, other = specks("7K3F", points((50.0, 50.0)), whole_zone="false"), specks("7K3G", points((90.0, 50.0)))
    (found,) = judged(counting({"max": "2"}), shown(silent))
    assert (found.verdict.word, found.verdict.key) == (NOT_JUDGED, "verdict.count-too-wide")
    assert words(counting({"max": "2"}), shown(silent, other)) == [CONFORMS, CONFORMS]
    assert words(counting({"max": "0"}), shown(silent)) == [FAILS]


def test_a_circle_wider_than_the_picture_says_how_much_the_picture_shows() -> None:
    """0.3 mm high, and the rule needs 10 mm."""
    finding = specks("7K3F", points((50.0, 50.0)), whole_zone="false")
    (found,) = judged(counting({"max": "2", "per": {"circle": "10 mm"}}), shown(finding))
    assert found.verdict.reason is not None
    assert SPEAKER.say(found.verdict.reason) == "the picture shows 0.30 mm, the rule needs 10 mm"


@pytest.mark.parametrize(
    ("shape", "middle"),
    [
        ({"shape": "point", "points": "150,100"}, (150.0, 100.0)),
        ({"shape": "ellipse", "points": "100,100 200,100 150,130"}, (150.0, 100.0)),
        ({"shape": "rectangle", "points": "100,70 200,70 130,130"}, (150.0, 100.0)),
        ({"shape": "outline", "points": "100,70 200,70 200,130 100,130"}, (150.0, 100.0)),
        ({"shape": "outline", "points": "100,100 130,70 250,100 130,130"}, (160.0, 100.0)),
        ({"shape": "line", "points": "100,50 150,50 150,150"}, (150.0, 75.0)),
    ],
    ids=["point", "ellipse", "rectangle", "outline", "kite", "line"],
)
def test_it_lies_where_its_point_its_centre_or_the_middle_of_its_line_is(
    shape: dict[str, str], middle: tuple[float, float]
) -> None:
    """Beside a point 60 µm away from that place: a circle of 62 µm holds both, one of 58 µm only one."""
    x, y = middle
    drawn = {"characteristic": "count", "edge": "sharp", "drawn": "edge found"} | shape
    both = specks("7K3F", drawn, points((x + 36, y + 48)))
    assert words(counting({"max": "1", "per": {"circle": "0.066 mm"}}), shown(both)) == [FAILS]
    assert words(counting({"max": "1", "per": {"circle": "0.054 mm"}}), shown(both)) == [CONFORMS]


def test_over_the_whole_part_every_zone_that_the_criterion_rules_counts() -> None:
    """Zones B and C are both of class B: one speck each against one on the part."""
    part = a_part(views={"top": {"picture": "always", "sees": {zone: {"as": "face"} for zone in "ABC"}}})
    found = specks("7K3F", points((50.0, 50.0))), specks("7K3G", points((90.0, 50.0)), zone="C")
    parts = {"parts": {"LC-0440": part}}
    assert words(counting({"max": "1", "per": "part"}), shown(*found), **parts) == [FAILS, FAILS]
    assert words(counting({"max": "2", "per": "part"}), shown(*found), **parts) == [CONFORMS, CONFORMS]
    assert words(counting({"max": "1", "per": "part"}), shown(found[0]), **parts) == [NOT_JUDGED]
    in_a = specks("7K3H", points((90.0, 90.0)), zone="A")
    assert words(counting({"max": "2", "per": "part"}), shown(*found, in_a), **parts)[0] is CONFORMS


@pytest.mark.parametrize(("view", "key"), [("gate-profile", "measure.not-in-this-view"), (None, "measure.no-view")])
def test_nothing_is_counted_but_face_on(view: str | None, key: str) -> None:
    """The reason names the view."""
    (found,) = judged(counting({"max": "0"}), shown(specks("7K3F", points((50.0, 50.0))), view=view))
    assert found.verdict.word is NOT_JUDGED
    assert found.verdict.reason is not None and found.verdict.reason.key == key


def test_what_was_not_seen_at_the_set_condition_does_not_count_for_the_others() -> None:
    """Except where it touches more than the look; and one that nobody checked leaves no verdict where it matters."""
    one = specks("7K3F", points((50.0, 50.0)))
    unseen = specks("7K3G", points((90.0, 50.0)), seen="no")
    unchecked = specks("7K3G", points((90.0, 50.0)), seen="not checked")
    assert words(counting({"max": "1"}), shown(one, unseen)) == [CONFORMS, CONFORMS]
    assert words(counting({"max": "1"}, concern="contamination"), shown(one, unseen)) == [FAILS, FAILS]
    assert words(counting({"max": "1"}), shown(one, unchecked)) == [NOT_JUDGED, NOT_JUDGED]
    assert words(counting({"max": "2"}), shown(one, unchecked)) == [CONFORMS, NOT_JUDGED]


def test_the_spacing_is_from_edge_to_edge() -> None:
    """Two specks of 0.050 mm, 0.150 mm from middle to middle: 0.100 mm apart."""
    pair = shown(specks("7K3F", speck(50, (100, 100)), speck(50, (250, 100))))
    (found,) = judged(counting(spacing="0.05 mm"), pair)
    assert found.verdict.word is CONFORMS
    measured = found.held[0].measurement
    assert measured is not None and measured.u > 1.0
    assert measured.value == pytest.approx(100.0, abs=0.1)
    assert words(counting(spacing="0.1 mm"), pair) == [UNDECIDED]
    (found,) = judged(counting(spacing="0.14 mm"), pair)
    assert found.verdict.word is FAILS
    text = SPEAKER.say(found.verdict.sentence)
    assert text.startswith("The spacing is 0.1000 mm ± ")
    assert text.endswith("It lies between 7K3F no. 1 and 7K3F no. 2.")


def test_a_picture_without_a_scale_counts_and_has_no_sizes() -> None:
    """A number needs none."""
    finding = specks("7K3F", speck(150, (100, 150)), speck(150, (300, 150)))
    assert words(counting({"max": "1"}), shown(finding, scope=None, setting=None)) == [FAILS]
    (found,) = judged(counting({"from": "0.1 mm", "max": "1"}), shown(finding, scope=None, setting=None))
    assert found.verdict.reason is not None and found.verdict.reason.key == "measure.no-scale.no-scope-named"


def test_a_picture_replaced_since_it_was_tagged_has_no_sizes() -> None:
    """What was drawn on other pixels is no measure of these."""
    every = catalogue(counting({"from": "0.1 mm", "max": "0"}), shown(specks("7K3F", speck(150, (100, 150)))))
    other = {"images/a.jpg": PictureFacts("1" * 64, Frame(400, 300))}
    found = assess(next(every.findings()), other, every)
    assert found.verdict.word is NOT_JUDGED


def test_a_trial_counts_each_picture_once_for_all_its_findings() -> None:
    """Three hundred findings on one picture, one sentence, one ask."""
    alphabet = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
    ids = [f"7{first}{second}0" for first in alphabet for second in alphabet][:300]
    findings = [specks(id, points((float(k % 300), float(k // 300)))) for k, id in enumerate(ids)]
    result = whole(catalogue(counting({"max": "299"}), shown(*findings, cavity="1")))
    assert len({id for ask in result.asks for id in ask.findings}) == 300 and len(result.asks) == 1
    assert len({each.verdict.sentence for each in result.assessments}) == 1
