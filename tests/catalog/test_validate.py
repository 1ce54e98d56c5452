"""Data to a record, or sentences of our own."""

from typing import Any

from portal.catalog.text import Fault
from portal.catalog.tree import parse
from portal.catalog.validate import validate
from portal.model.mould import Mould
from portal.model.shop import Customer
from portal.model.standard import CountBand, Criterion
from portal.model.tag import Finding, More, Tag

GIVEN = {"id": "x", "file": "x.yaml"}
CUSTOMER = "format: 1\nname: N\nunit: mm\nlanguage: en\nreviewers: []\n"


def said(record: Any, text: str, given: dict[str, Any]) -> list[Fault]:
    """The faults of a text that gives no record."""
    document = parse(text)
    assert document.whole and not document.faults
    made = validate(record, document.data, document.lines, given=given)
    assert isinstance(made, tuple)
    return list(made)


def one(record: Any, text: str, given: dict[str, Any]) -> Fault:
    """The only fault."""
    found = said(record, text, given)
    assert len(found) == 1, found
    return found[0]


def test_a_record_is_made_with_what_its_path_gives() -> None:
    """The id isn't in the file."""
    document = parse(CUSTOMER)
    made = validate(Customer, document.data, document.lines, given=GIVEN)
    assert isinstance(made, Customer)
    assert (made.id, made.name, made.reviewers) == ("x", "N", ())


def test_a_misspelt_key_is_one_fault_with_the_right_word() -> None:
    """That the right one is missing is no news."""
    fault = one(Customer, CUSTOMER.replace("language:", "langauge:"), GIVEN)
    assert (fault.line, fault.path) == (4, ("langauge",))
    assert fault.hint == "did you mean `language`?"


def test_a_misspelt_key_beside_the_right_one_is_not_taken_for_it() -> None:
    """The key is there already, so another is meant or none."""
    fault = one(Customer, CUSTOMER + "units: mm\n", GIVEN)
    assert fault.hint is None or "did you mean `unit`" not in fault.hint


def test_what_the_path_gives_is_no_key() -> None:
    """Neither an id nor a file name can be written over the folder's."""
    for key in ("id", "file"):
        assert one(Customer, CUSTOMER + f"{key}: y\n", GIVEN).path == (key,)


def test_ones_own_keys_are_left_alone() -> None:
    """Whatever is below them."""
    document = parse(CUSTOMER + "x-crm: {any: [thing, {deep: 1}]}\nx-empty:\n")
    assert isinstance(validate(Customer, document.data, document.lines, given=GIVEN), Customer)


def test_an_empty_value_is_an_absent_key() -> None:
    """Optional ones are as if they weren't there, required ones are missing."""
    document = parse(CUSTOMER + "names_needed:\nother_names: ''\n")
    made = validate(Customer, document.data, document.lines, given=GIVEN)
    assert isinstance(made, Customer) and "names_needed" not in made.given()
    assert one(Customer, CUSTOMER.replace("unit: mm", "unit:"), GIVEN).message == "this key is missing"


def test_a_missing_key_is_said_on_its_parents_line() -> None:
    """There is no line of its own."""
    text = CUSTOMER.replace("[]", "\n  - {name: A, role: r, may: [accept]}\n  - {name: B, role: r}")
    fault = one(Customer, text, GIVEN)
    assert (fault.line, fault.path) == (7, ("reviewers", "1", "may"))


def test_words_of_a_closed_set_are_listed() -> None:
    """All of them, and the nearest as a hint."""
    fault = one(Customer, CUSTOMER.replace("[]", "[{name: A, role: r, may: [acept]}]"), GIVEN)
    assert fault.path == ("reviewers", "0", "may", "0")
    assert fault.message.startswith("`acept` is not one of `accept`, `concession`")
    assert fault.hint == "did you mean `accept`?"


def test_kinds_of_value_are_told_apart_in_plain_words() -> None:
    """A list, keys, one value: each where another is expected."""
    assert "a list" in one(Customer, CUSTOMER.replace("[]", "x"), GIVEN).message
    assert "one value" in one(Customer, CUSTOMER.replace("name: N", "name: [N]"), GIVEN).message
    assert "one value" in one(Customer, CUSTOMER.replace("name: N", "name: {N: 1}"), GIVEN).message
    assert "keys with values" in one(Customer, CUSTOMER.replace("[]", "[x]"), GIVEN).message
    mould = "format: 1\ncustomer_tool_number: T\nrevision: '1'\ncavities: [1, 2]\n"
    assert "names with values" in one(Mould, mould, GIVEN).message


def test_an_empty_item_is_named_and_later_items_keep_their_number() -> None:
    """Item 1 is the empty one, item 2 the wrong one."""
    found = said(Customer, CUSTOMER.replace("[]", "[{name: A, role: r, may: [accept, '', acept]}]"), GIVEN)
    assert [fault.path[-1] for fault in found] == ["1", "2"]


def test_a_value_that_a_record_would_take_apart_is_refused() -> None:
    """The inside of a length can't be written as keys."""
    band = "from: {um: 100, text: 0.1 mm}\nmax: 3\nper: zone\n"
    assert one(CountBand, band, {}).path == ("from",)


def test_the_scalars_own_sentence_is_kept() -> None:
    """Without anything in front of it."""
    assert one(CountBand, "from: 0.1\nmax: 3\nper: zone\n", {}).message.startswith("`0.1` has no unit")


def test_one_value_or_keys_are_both_read() -> None:
    """Where to count: a word, or a circle."""
    for per in ("zone", "{circle: 10 mm}"):
        document = parse(f"max: 3\nper: {per}\n")
        assert isinstance(validate(CountBand, document.data, document.lines, given={}), CountBand)
    assert one(CountBand, "max: 3\nper: {circle: 10}\n", {}).path == ("per", "circle")
    assert one(CountBand, "max: 3\nper: [zone]\n", {}).path == ("per",)


MORE = "finding: 7K3F\nby: k\nat: 2026-03-04T15:12\nshapes:\n  - {characteristic: width, edge: sharp, drawn: by hand, "


def test_a_shape_is_checked_by_its_own_keys() -> None:
    """The message names the shape."""
    assert isinstance(validate(More, parse(MORE + 'shape: line, points: "0,0 1,1"}').data, {}, given={}), More)
    fault = one(More, MORE + 'shape: outline, points: "0,0 1,1 2,0", base: "0,0"}', {})
    assert (fault.path, fault.message) == (("shapes", "0", "base"), "`base` is no key of a `outline`")
    fault = one(More, MORE + "shape: line}", {})
    assert (fault.line, fault.path, fault.message) == (5, ("shapes", "0", "points"), "this key is missing")


def test_a_missing_key_of_fixed_words_names_them() -> None:
    """Wherever it stands: in a list, below a shape that another key chooses, in a mapping."""
    fault = one(More, MORE.replace("drawn: by hand, ", "") + 'shape: line, points: "0,0 1,1"}', {})
    assert (fault.path, fault.hint) == (("shapes", "0", "drawn"), "one of `by hand`, `edge found`")
    fault = one(More, MORE.replace("edge: sharp, ", "") + 'shape: line, points: "0,0 1,1"}', {})
    assert (fault.path, fault.hint) == (("shapes", "0", "edge"), "one of `sharp`, `torn`, `soft`")
    tag = "id: 7K3F\ndefect: flash\nzone: A\nby: k\nat: 2026-03-04T15:12\n"
    fault = one(Finding, tag, {})
    assert (fault.path, fault.message) == (("seen",), "this key is missing")
    assert fault.hint == "one of `yes`, `no`, `not checked`"
    assert one(Customer, CUSTOMER.replace("unit: mm", "unit:"), GIVEN).hint == "one of `mm`, `inch`"
    assert one(Finding, tag.replace("zone: A\n", "") + "seen: yes\n", {}).hint is None


def test_a_shape_without_a_kind_is_one_fault() -> None:
    """Missing, misspelt in its value, misspelt in its key."""
    missing = one(More, MORE + 'points: "0,0 1,1"}', {})
    assert missing.path == ("shapes", "0", "shape") and "`base-and-point`" in (missing.hint or "")
    assert one(More, MORE + 'shape: lines, points: "0,0 1,1"}', {}).hint == "did you mean `line`?"
    assert one(More, MORE + 'shap: line, points: "0,0 1,1"}', {}).hint == "was it meant by `shap`?"
    assert one(More, MORE + 'shape: [line], points: "0,0 1,1"}', {}).path == ("shapes", "0", "shape")


def test_digests_and_ids_are_explained() -> None:
    """A pattern is no sentence."""
    tag = f"format: 1\npicture: {{sha256: {'A' * 64}, stored: 4x3}}\n"
    assert "SHA-256" in one(Tag, tag, {"file": "x"}).message
    assert (
        "without I, L, O and U" in one(More, MORE.replace("7K3F", "7K3O") + 'shape: point, points: "0,0"}', {}).message
    )


def test_aliases_of_python_are_no_keys() -> None:
    """`class` is a word of Python; the file knows only the trade's."""
    assert one(CountBand, "from_: 0.1 mm\nmax: 3\nper: zone\n", {}).hint == "did you mean `from`?"


def test_all_faults_of_a_record_come_at_once() -> None:
    """Structure and values in one go."""
    text = (
        "id: A\nrevision: '1'\ndefekt: x\ncondition: c\nseverity: tiny\nrule: limits\nlimits: [{max: 1}]\nsource: s\n"
    )
    assert [fault.path for fault in said(Criterion, text, {})] == [
        ("defekt",),
        ("source",),
        ("severity",),
        ("limits", "0", "characteristic"),
        ("limits", "0", "max"),
    ]
