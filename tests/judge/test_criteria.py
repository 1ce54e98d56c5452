"""Which criterion wins."""

from typing import Any

import pytest

from portal.judge.criteria import Choice, choose
from portal.model.part import Part
from portal.model.standard import VisualStandard
from portal.model.terms import Rank
from tests.judge.records import a_criterion, a_part, a_standard, a_trial


def chosen(part: Part, *standards: VisualStandard, zone: str = "B", **other: Any) -> Choice:
    """What applies to a gate vestige in that zone, all standards in force as given."""
    by_slug: dict[str, dict[str, VisualStandard]] = {}
    for standard in standards:
        by_slug.setdefault(standard.id, {})[standard.revision] = standard
    named = {standard.id: standard.revision for standard in standards}
    values: dict[str, Any] = {
        "trial": a_trial(standards=named),
        "standards": by_slug,
        "broken": {},
    }
    return choose("gate-vestige", zone, part=part, **(values | other))


def test_the_shops_standard_applies_where_nothing_else_is_agreed() -> None:
    """A matching criterion of the only standard applies, with its rank, standard and file."""
    choice = chosen(a_part(), a_standard(a_criterion()))
    assert choice.applied is not None
    assert choice.applied.criterion.id == "GV-B"
    assert choice.applied.rank is Rank.SHOP_STANDARD
    assert (choice.applied.standard, choice.applied.file) == ("small/3", "standards/small/3.yaml")
    assert choice.set_aside == ()


@pytest.mark.parametrize(
    "other", [{"defect": "flash"}, {"zone_class": "A"}, {"zone": "A"}], ids=["defect", "zone class", "zone"]
)
def test_another_defect_class_or_zone_does_not_match(other: dict[str, str]) -> None:
    """Nothing applies where neither the zone nor its class is named, or the defect is another one."""
    assert chosen(a_part(), a_standard(a_criterion(**other))) == Choice()


def test_a_zone_is_matched_by_name_or_by_class() -> None:
    """Zones B and C are both of class B; a criterion for zone C leaves zone B alone."""
    standard = a_standard(a_criterion(zone="C"))
    assert chosen(a_part(), standard, zone="C").applied is not None
    assert chosen(a_part(), standard, zone="B").applied is None


def test_drawing_then_customer_then_part_then_shop() -> None:
    """The part's order of precedence decides; those set aside are named in that order."""
    part = a_part(criteria=[a_criterion(id="OWN")], standards=["small", "agreed"])
    agreed = a_standard(
        a_criterion(id="CUSTOMER"), a_criterion(id="DRAWING", rank="drawing"), id="agreed", owner="brindelaar"
    )
    choice = chosen(part, a_standard(a_criterion(id="SHOP")), agreed)
    assert choice.applied is not None
    found = [each.criterion.id for each in (choice.applied, *choice.set_aside)]
    assert found == ["DRAWING", "CUSTOMER", "OWN", "SHOP"]
    assert [each.rank for each in choice.set_aside] == [Rank.CUSTOMER_STANDARD, Rank.PART, Rank.SHOP_STANDARD]


def test_the_parts_own_order_of_precedence_is_followed() -> None:
    """A part that puts its own agreement first is judged by it."""
    part = a_part(criteria=[a_criterion(id="OWN")], precedence=["part", "shop-standard"])
    choice = chosen(part, a_standard(a_criterion(id="SHOP")))
    assert choice.applied is not None and choice.applied.criterion.id == "OWN"
    assert choice.applied.standard is None and choice.applied.file == "parts/LC-0440/part.yaml"


def test_of_two_standards_of_one_rank_the_one_listed_first_applies() -> None:
    """`standards` of the part is written highest first."""
    one = a_standard(a_criterion(id="ONE"), id="one")
    two = a_standard(a_criterion(id="TWO"), id="two")
    choice = chosen(a_part(standards=["two", "one"]), one, two)
    assert choice.applied is not None and choice.applied.criterion.id == "TWO"


def test_two_of_equal_rank_in_one_standard_are_refused_by_name() -> None:
    """Neither is picked; both are named."""
    choice = chosen(a_part(), a_standard(a_criterion(id="ONE"), a_criterion(id="TWO", zone="B")))
    assert choice.applied is None and choice.refused is not None
    assert choice.refused.key == "reason.equal-rank"
    assert (choice.refused.get("first"), choice.refused.get("second")) == ("ONE", "TWO")


def test_an_own_criterion_of_a_standards_rank_is_refused_too() -> None:
    """The order of standards says nothing about the part's own criteria."""
    part = a_part(criteria=[a_criterion(id="OWN", rank="drawing")])
    choice = chosen(part, a_standard(a_criterion(id="NOTE", rank="drawing")))
    assert choice.refused is not None and choice.refused.key == "reason.equal-rank"


def test_two_of_equal_rank_that_are_both_set_aside_do_no_harm() -> None:
    """Only what would apply has to be alone."""
    part = a_part(criteria=[a_criterion(id="NOTE", rank="drawing")])
    choice = chosen(part, a_standard(a_criterion(id="ONE"), a_criterion(id="TWO")))
    assert choice.applied is not None and choice.applied.criterion.id == "NOTE"
    assert len(choice.set_aside) == 2


def test_the_trials_revision_rules_not_the_newest() -> None:
    """A trial is judged by the revision that it names."""
    old, new = a_standard(a_criterion(id="OLD"), revision="2"), a_standard(a_criterion(id="NEW"))
    choice = chosen(a_part(), old, new, trial=a_trial(standards={"small": "2"}))
    assert choice.applied is not None and choice.applied.criterion.id == "OLD"


def test_a_broken_standard_is_named_with_its_line() -> None:
    """What might hold the ruling criterion can't be read, so nothing rules."""
    broken = {("standard", "small/3"): "standards/small/3.yaml:7"}
    choice = chosen(a_part(), trial=a_trial(), broken=broken)
    assert choice.refused is not None
    assert choice.refused.key == "reason.standard-broken"
    assert choice.refused.get("where") == "standards/small/3.yaml:7"


def test_a_revision_that_is_not_there_is_named() -> None:
    """A trial that names revision 9 of a standard that has only 3 can't be judged."""
    choice = chosen(a_part(), a_standard(a_criterion()), trial=a_trial(standards={"small": "9"}))
    assert choice.refused is not None and choice.refused.key == "reason.standard-unknown"


def test_a_standard_whose_revision_the_trial_leaves_open_is_refused() -> None:
    """A trial has to say which revision was in force."""
    choice = chosen(a_part(), a_standard(a_criterion()), trial=a_trial(standards={}))
    assert choice.refused is not None and choice.refused.key == "reason.standard-unnamed"


def test_a_standard_that_came_after_the_trial_plays_no_part_in_it() -> None:
    """What became effective later needs no revision in an earlier trial."""
    later = a_standard(a_criterion(), effective="2026-03-05")
    assert chosen(a_part(), later, trial=a_trial(standards={})) == Choice()


def test_a_zone_that_the_part_has_not_is_named() -> None:
    """Without its zone a finding has no class."""
    choice = chosen(a_part(), a_standard(a_criterion()), zone="Z")
    assert choice.refused is not None and choice.refused.key == "reason.zone-unknown"
