"""A customer's site: only theirs, whole, and never built with anything of another customer's in it."""

import hashlib
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from portal.problem import PortalError
from portal.site.unbroken import spaced
from portal.tasks.build import Built, build
from portal.tasks.manifest import NAME
from tests.tasks.small import TRIAL, add_picture
from tests.tasks.two import OURS, THEIRS, change, two_customers

DAY = date(2026, 3, 1)
TAG = f"{TRIAL}/tags/c1_top.jpg.yaml"


def built(folder: Path, customer: str = OURS) -> Built:
    """Build that customer's site in this process."""
    return build(folder, out=None, as_of=DAY, processes=1, audience=customer)


def text_of(out: Path) -> str:
    """Every file of a site that is no picture, and every file's name, in one."""
    files = [path for path in sorted(out.rglob("*")) if path.is_file()]
    bodies = [path.read_text(encoding="utf-8") for path in files if path.suffix != ".jpg"]
    return spaced("\n".join([*(path.relative_to(out).as_posix() for path in files), *bodies]))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Two customers, one family mould."""
    return two_customers(tmp_path / "catalogue")


def test_each_customers_site_holds_their_own_and_nothing_of_the_others(folder: Path) -> None:
    """Names, people, numbers, criteria and limit samples of the other are in no file, the manifest included."""
    ours, theirs = built(folder), built(folder, THEIRS)
    assert (ours.exit_code, theirs.exit_code) == (0, 0), ours.said
    assert ours.out == folder / "site" / OURS
    of_theirs = ("mmerwick", "Tellekamp", "Q-7707", "55-9901", "LS-0901", "c3_top", "SP-A", "Dosing", "Omwick")
    of_ours = ("ellorin", "Reviewer", "P-0001", "0000-01", "c1_top", "c1_gate", "Example collar")
    said = text_of(ours.out)
    assert [word for word in of_theirs if word in said] == []
    assert [word for word in of_ours[2:] if word not in said] == []
    assert [word for word in of_ours if word in text_of(theirs.out)] == []
    assert "whole_shot" not in said, "a picture that may show another customer's piece"


def test_a_picture_of_the_graticule_is_no_other_customers(folder: Path) -> None:
    """Somebody tagged the very picture in a trial that the scope names as a check."""
    picture = folder / "scopes/bench/graticule.jpg"
    picture.parent.mkdir()
    picture.write_bytes((folder / TRIAL / "images/c1_top.jpg").read_bytes())
    check = 'picture: bench/graticule.jpg, points: "10,10 210,10", length: 0.2 mm, at: 2026-02-10T08:00'
    with (folder / "scopes/bench-1.yaml").open("a", encoding="utf-8") as file:
        file.write(f"\n    checks: [{{{check}, by: first-engineer}}]\n")
    ours = built(folder)
    assert ours.exit_code == 0
    assert "and agrees" in text_of(ours.out) and "graticule.jpg" not in text_of(ours.out)


def test_what_a_customer_reads_is_what_the_shop_reads(folder: Path) -> None:
    """Verdicts are worked out on the whole, so both audiences are told the same."""
    shop = build(folder, out=None, as_of=DAY, processes=1).out
    review = "parts/P-0001/M-001-T1.html"
    ours = (built(folder).out / review).read_text(encoding="utf-8")
    whole = (shop / review).read_text(encoding="utf-8")
    told = [line for line in whole.splitlines() if "verdict" in line and "shop only" not in line]
    assert told and [line for line in told if line not in ours] == []


def test_two_parts_of_a_family_mould_may_use_the_same_finding_id(folder: Path) -> None:
    """Ids are unique in a part: each part's card and picture tell of its own finding."""
    out = build(folder, out=None, as_of=DAY, processes=1).out
    theirs = (out / "parts/Q-7707/M-001-T1.html").read_text(encoding="utf-8")
    ours = (out / "parts/P-0001/M-001-T1.html").read_text(encoding="utf-8")
    note = "Seen by Ommerwick too"
    assert (note in theirs, note in ours) == (True, False)
    assert "f-7K3F" in ours and "f-7K3F" in theirs
    page = (out / "pictures/M-001/T1/c3_top.jpg.html").read_text(encoding="utf-8")
    assert "Q-7707/M-001-T1.html#f-7K3F" in page and "P-0001/M-001-T1.html#f-7K3F" not in page


def test_a_site_in_inches_reads_in_inches(folder: Path) -> None:
    """The unit of the customer, also where no part is named."""
    change(folder, "customers/vellorin.yaml", "unit: mm", "unit: inch")
    page = next((built(folder).out / "pictures").rglob("c1_top*.html")).read_text(encoding="utf-8")
    assert " in</" in page or " in " in page
    assert "0.200 mm" not in page


def test_a_folder_of_another_audience_is_refused(folder: Path) -> None:
    """A site never changes whose it is."""
    out = build(folder, out=None, as_of=DAY, processes=1).out
    with pytest.raises(PortalError, match="holds a site for `shop`"):
        build(folder, out=out, as_of=DAY, processes=1, audience=OURS)


def test_an_unknown_customer_is_named_with_the_nearest(folder: Path) -> None:
    """Wrong use, exit 2."""
    with pytest.raises(PortalError) as refused:
        built(folder, "velorin")
    assert refused.value.code == 2
    assert refused.value.hint == "did you mean `vellorin`?"
    assert not (folder / "site").exists()


def test_the_shops_own_things_are_handed_over_only_where_it_shares_them(folder: Path) -> None:
    """Causes, press, what changed, shop notes."""
    change(folder, f"{TRIAL}/trial.yaml", "# changed: what is new since the last trial", "changed: Gate reground")
    change(folder, f"{TRIAL}/trial.yaml", "# press: electric, 30 t", "press: Electric 30 t")
    change(folder, TAG, "    seen: yes\n", "    seen: yes\n    shop_note: Purge was short\n")
    secret = ("Gate reground", "Electric 30 t", "Purge was short", "Degraded resin in screw")
    said = text_of(built(folder).out)
    assert [word for word in secret if word in said] == []
    change(folder, "catalog.yaml", "# share: [", "share: [")
    said = text_of(built(folder).out)
    assert [word for word in secret if word not in said] == []


def test_the_manifest_of_a_customers_site_still_finds_that_nothing_changed(folder: Path) -> None:
    """Though it names no file of the catalogue, not even of this customer; a change of any is noticed all the same."""
    from tests.tasks.test_build import aged

    aged(folder)
    out = built(folder).out
    assert built(folder).nothing_changed
    notes = "".join(each.read_text(encoding="utf-8") for each in out.glob(".portal-*"))
    assert not [word for word in ("images/", "tags/", "moulds/", "c3_top") if word in notes]
    lines = [line.split("\t") for line in (out / NAME).read_text(encoding="utf-8").splitlines()]
    stats = [each.stat() for each in folder.rglob("*.jpg")]
    stamps = {str(number) for each in stats for number in (each.st_size, each.st_mtime_ns)}
    assert not stamps & {word for line in lines if line[0] == "input" for word in line}
    assert sum(line[0] == "facts" for line in lines) == sum(line[0] == "input" for line in lines) > 0
    change(folder, f"{TRIAL}/tags/c3_top.jpg.yaml", "seen: yes", "seen: no")
    assert not built(folder).nothing_changed


Leak = Callable[[Path], None]


def leak_name(leak: object) -> str:
    """The name of the function that plants it."""
    return str(getattr(leak, "__name__", leak))


def in_note(folder: Path) -> None:
    """A note that tells of the other customer, of their reviewer and of their part, its number with other dashes."""
    note = "as at Ommerwick, said Ms TELLEKAMP of 55\u20119901\u201102"
    change(folder, TAG, "    seen: yes\n", f"    seen: yes\n    note: {note}\n")


def in_wide_letters(folder: Path) -> None:
    """Full-width capitals with a zero-width blank."""
    change(folder, TAG, "findings:", 'caption: "ＯＭＭＥＲ\u200bＷＩＣＫ sample"\nfindings:')


def in_file_name(folder: Path) -> None:
    """The name inside a picture's file name; it comes into addresses, titles and alternative texts."""
    add_picture(folder, "c1_ommerwick_top.jpg", view="top", findings=" []", seed=11)


def in_split_markup(folder: Path) -> None:
    """A name that markup cuts in two, in a class's prose; every customer's pages tell of the class."""
    file = folder / "defects/black-speck.md"
    file.write_text(file.read_text(encoding="utf-8") + "\nOften at Ommer**wick**.\n", encoding="utf-8")


def in_limit_sample(folder: Path) -> None:
    """A limit sample of this customer that the other's replaced; the criterion that names it is this customer's."""
    pixels = (folder / TRIAL / "images/c1_top.jpg").read_bytes() + b"\0\0"
    text = (folder / "limit-samples/LS-0901/sample.yaml").read_text(encoding="utf-8")
    for old, new in (
        ("Q-7707", "P-0001"),
        ("zone_class: A", "zone_class: B"),
        ("side: last good", "side: last good\nreplaced_by: LS-0901"),
        ("S. Tellekamp", "R. Reviewer"),
        ("LS-0901-a", "LS-0002-a"),
        ("Ommerwick Medical", "Vellorin Devices"),
        (text[text.index("sha256: ") :][:72], f"sha256: {hashlib.sha256(pixels).hexdigest()}"),
    ):
        text = text.replace(old, new)
    sample = folder / "limit-samples/LS-0002"
    sample.mkdir()
    (sample / "low.jpg").write_bytes(pixels)
    (sample / "sample.yaml").write_text(text, encoding="utf-8")
    standard = "standards/looks/1.yaml"
    source = "    source: {document: to be"
    change(folder, standard, source, f"    limit_samples: {{last_good: LS-0002}}\n{source}")
    change(folder, standard, "defect: gate-vestige", "defect: black-speck")
    change(folder, TAG, "    seen: yes\n", "    seen: yes\n    compared: worse\n")


def in_agreement(folder: Path) -> None:
    """A criterion of this customer that the other's reviewer signed."""
    change(folder, "standards/looks/1.yaml", "    # agreed: {party: vellorin, by: R. Reviewer,",
           "    agreed: {party: vellorin, by: S. Tellekamp,")  # fmt: skip


def in_source(folder: Path) -> None:
    """A criterion that rests on the other's drawing."""
    change(folder, "standards/looks/1.yaml", "document: to be agreed", "document: like DQ 7707")


def in_marking(folder: Path) -> None:
    """A marking for one customer on every customer's pages."""
    change(folder, "catalog.yaml", '# marking: "Confidential: …"', 'marking: "For Ommerwick Medical only" #')


def in_page_address(folder: Path) -> None:
    """A trial's folder is a page's address."""
    (folder / TRIAL).rename(folder / "moulds/M-001/trials/T1-ommerwick")


def in_stage(folder: Path) -> None:
    """What a trial shared by a family mould says."""
    change(folder, f"{TRIAL}/trial.yaml", "stage: First-off", "stage: First-off with Omwick Care caps")


def in_shop_caution(folder: Path) -> None:
    """The other name, joined by an underscore."""
    change(folder, "catalog.yaml", '# cautions: ["…"]', 'cautions: ["not in the OMWICK_CARE hall"] #')


WORDS: dict[Leak, tuple[str, str]] = {
    in_note: (f"{TAG}:", "`55-9901-02`, a part number of customer `ommerwick`"),
    in_wide_letters: (f"{TAG}:10", "`ommerwick`"),
    in_file_name: (f"{TRIAL}/images/c1_ommerwick_top.jpg", "ommerwick"),
    in_split_markup: ("defects/black-speck.md:23", "ommerwick"),
    in_limit_sample: ("limit-samples/LS-0002/sample.yaml:7", "`LS-0901`, a limit sample of another customer"),
    in_agreement: ("standards/looks/1.yaml:", "tellekamp"),
    in_source: ("standards/looks/1.yaml:", "`DQ-7707`, a drawing of customer `ommerwick`"),
    in_marking: ("catalog.yaml:22", "`Ommerwick Medical`, a name of customer `ommerwick`"),
    in_stage: (f"{TRIAL}/trial.yaml:4", "`Omwick Care`"),
    in_shop_caution: ("catalog.yaml:23", "`Omwick Care`"),
}


def test_every_word_of_another_customer_refuses_the_build(folder: Path) -> None:
    """All leaks in one folder: each is told with its word, whose it is, a page, and the file and line it comes from."""
    for leak in WORDS:
        leak(folder)
    with pytest.raises(PortalError) as refused:
        built(folder)
    assert refused.value.code == 3
    said = [str(problem).casefold() for problem in refused.value.problems]
    missed = {
        leak_name(leak): where
        for leak, (where, what) in WORDS.items()
        if not any(each.startswith(where.casefold()) and what.casefold() in each for each in said)
    }
    assert missed == {}, "\n".join(said)
    assert not (folder / "site").exists() or list((folder / "site").iterdir()) == []


def test_a_word_in_an_address_refuses_the_build(folder: Path) -> None:
    """A folder's name is said on no line, but it is in every link."""
    in_page_address(folder)
    with pytest.raises(PortalError) as refused:
        built(folder)
    assert "pictures/M-001/T1-ommerwick/c1_gate.jpg.html" in "".join(str(each) for each in refused.value.problems)


def test_a_refused_build_leaves_the_published_site_as_it_was(folder: Path) -> None:
    """Byte for byte, and with no new picture."""
    out = built(folder).out
    before = {path: path.read_bytes() for path in out.rglob("*") if path.is_file()}
    add_picture(folder, "c1_more.jpg", view="top", findings=" []", seed=12)
    in_note(folder)
    with pytest.raises(PortalError):
        built(folder)
    assert {path: path.read_bytes() for path in out.rglob("*") if path.is_file()} == before


def also_on_their_picture(folder: Path) -> None:
    """Shapes of this customer's finding on a picture of the other's piece."""
    change(folder, f"{TRIAL}/tags/c3_top.jpg.yaml", "findings:", f"also:\n{MORE}findings:")
    change(folder, f"{TRIAL}/tags/c3_top.jpg.yaml", "id: 7K3F", "id: 8K3F")


def also_on_nobodys_picture(folder: Path) -> None:
    """Shapes of this customer's finding on a picture that names no cavity."""
    change(folder, f"{TRIAL}/tags/whole_shot.jpg.yaml", "findings:", f"also:\n{MORE}findings:")


MORE = """  - finding: 7K3G
    shapes:
      - {characteristic: height, shape: base-and-point, base: "40,200 90,200 230,200", point: "160,90",
         edge: torn, drawn: by hand}
    by: first-inspector
    at: 2026-02-12T10:22
"""


def view_of_theirs(folder: Path) -> None:
    """A view's reference picture that lies in the other part's folder."""
    views = folder / "parts/Q-7707/views"
    views.mkdir()
    (views / "top.jpg").write_bytes((folder / TRIAL / "images/c3_top.jpg").read_bytes() + b"\0\0")
    change(folder, "parts/P-0001/part.yaml", "# reference: views/top.jpg", "reference: ../Q-7707/views/top.jpg #")


def copy_of_theirs(folder: Path) -> None:
    """A picture of the other customer, copied under a name of this one's."""
    pixels = (folder / TRIAL / "images/c3_top.jpg").read_bytes()
    (folder / TRIAL / "images/c1_top.jpg").write_bytes(pixels)


def link_to_theirs(folder: Path) -> None:
    """A link within the catalogue that leads to a picture of the other customer."""
    image = folder / TRIAL / "images/c1_top.jpg"
    image.unlink()
    image.symlink_to("c3_top.jpg")


PICTURES: dict[Leak, tuple[str, str]] = {
    also_on_nobodys_picture: (f"{TRIAL}/tags/whole_shot.jpg.yaml:8", "finding `7K3G` is drawn on a picture"),
    view_of_theirs: ("parts/P-0001/../Q-7707/views/top.jpg", "lies in no folder of this customer"),
    copy_of_theirs: (f"{TRIAL}/images/c1_top.jpg", "the same picture as"),
    link_to_theirs: (f"{TRIAL}/images/c1_top.jpg", "c3_top.jpg"),
}


@pytest.mark.parametrize("leak", PICTURES, ids=leak_name)
def test_a_picture_of_another_customer_refuses_the_build(folder: Path, leak: Leak) -> None:
    """However it came there; nothing is written."""
    leak(folder)
    with pytest.raises(PortalError) as refused:
        built(folder)
    where, what = PICTURES[leak]
    said = [str(problem) for problem in refused.value.problems]
    assert any(each.startswith(where) and what in each for each in said), said
    assert not (folder / "site").exists()


def test_shapes_on_another_customers_picture_are_not_measured_and_not_shown(folder: Path) -> None:
    """`also` of another piece is a problem of the files; the finding is measured on its own pictures."""
    also_on_their_picture(folder)
    result = built(folder)
    assert result.exit_code == 1
    assert "finding `7K3G` is on" in result.said
    assert "c3_top" not in text_of(result.out).replace(result.said, "")
