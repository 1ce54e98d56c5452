"""A whole folder: what is kept, what is left out, what is said of it."""

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from portal.catalog import read
from portal.model.catalogue import Catalogue
from tests.catalog import good as g
from tests.catalog.good import T2, Tree, good, picture
from tests.catalog.reads import only, read_tree, sound, with_change
from tests.treemaker import plant


def pictures(catalogue: Catalogue) -> list[str]:
    """The names of the second trial's pictures."""
    return [each.name for each in catalogue.moulds["M-118"].trials["T2"].pictures]


def test_every_kind_of_record_is_there_under_its_id(tmp_path: Path) -> None:
    """Ids come from the names of folders and files."""
    catalogue = sound(read_tree(tmp_path, good()))
    assert catalogue.shop.people["k-ammer"].name == "K. Ammer"
    assert set(catalogue.defects) == {"gate-vestige", "flash"}
    assert catalogue.defects["gate-vestige"].prose == "What is left where the gate was."
    assert set(catalogue.standards["small-clear"]) == {"3"}
    assert (set(catalogue.scopes), set(catalogue.customers)) == ({"stereo-1"}, {"brindelaar"})
    assert catalogue.limit_samples["LS-0007"].folder == "limit-samples/LS-0007"
    assert catalogue.parts["LC-0440"].file == "parts/LC-0440/part.yaml"
    trial = catalogue.moulds["M-118"].trials["T2"]
    assert (trial.id, trial.mould, trial.looked[0].view) == ("T2", "M-118", "top")
    assert [found.finding.id for found in catalogue.findings()] == ["7K3F"]


def test_pictures_come_in_natural_order_with_their_tags(tmp_path: Path) -> None:
    """What camera programs write beside a picture is no picture."""
    tree = good() | {f"{T2}/images/cam-1.png.xml": "<x/>", f"{T2}/images/readme.txt": "x", f"{T2}/images/b.bin": b"?"}
    catalogue = sound(read_tree(tmp_path, tree))
    assert pictures(catalogue) == ["b.bin", "cam-1.png", "cam-2.png", "cam-10.png"]
    tags = [each.tag is not None for each in catalogue.moulds["M-118"].trials["T2"].pictures]
    assert tags == [False, True, True, False]


def test_identifiers_stay_as_they_are_written(tmp_path: Path) -> None:
    """Numbers, times and words that mean something elsewhere are text here, as values and as keys."""
    tree = with_change(
        "parts/LC-0440/part.yaml", "{shop: LC-0440, customer: 88-1203-04}", "{shop: 0123, customer: 1e3}"
    )
    tree |= {
        f"{T2}/trial.yaml": g.TRIAL.replace("stage: First-off", "stage: no\nmaterial_lot: 052:10\ncolour_lot: 1.10")
    }
    tree |= {"moulds/M-118/mould.yaml": g.MOULD.replace('"2"', "08").replace('"3"', "12:30")}
    catalogue = sound(read_tree(tmp_path, tree))
    assert catalogue.parts["LC-0440"].numbers.shop == "0123"
    assert catalogue.parts["LC-0440"].numbers.customer == "1e3"
    mould = catalogue.moulds["M-118"]
    assert (list(mould.cavities), mould.revision) == (["1", "08"], "12:30")
    trial = mould.trials["T2"]
    assert (trial.stage, trial.material_lot, trial.colour_lot) == ("no", "052:10", "1.10")


def test_files_with_a_byte_order_mark_and_windows_line_ends_read_the_same(tmp_path: Path) -> None:
    """An editor on Windows changes nothing in what is read."""
    marked: Tree = {
        path: b"\xef\xbb\xbf" + content.replace("\n", "\r\n").encode() if isinstance(content, str) else content
        for path, content in good().items()
    }
    plain, windows = read_tree(tmp_path / "plain", good()), read_tree(tmp_path / "windows", marked)
    assert plain.catalogue == windows.catalogue
    assert windows.problems == ()
    assert all(
        plain.places.line(file, path) == windows.places.line(file, path)
        for file, lines in plain.places.lines.items()
        for path in lines
    )


def test_places_know_the_line_of_every_field(tmp_path: Path) -> None:
    """Other rooms name the line of what they find wrong."""
    places = read_tree(tmp_path, good()).places
    tag = f"{T2}/tags/cam-1.png.yaml"
    assert places.line(tag, ("findings", "0", "shapes", "0", "point")) == 19
    assert places.line(tag, ("findings", "0", "shapes", "0", "no-such-key")) == 16
    assert places.line("defects/gate-vestige.md", ("terms", "de")) == 5
    assert places.line("no/such/file.yaml", ("a",)) == 1


def test_a_folder_without_a_catalogue_says_what_to_do(tmp_path: Path) -> None:
    """An empty folder, and one that isn't there."""
    for folder in (tmp_path, tmp_path / "gone"):
        reading = read(folder)
        assert reading.catalogue is None
        assert only(reading).file == "catalog.yaml"


def test_without_a_sound_catalog_yaml_there_is_no_catalogue_but_all_problems(tmp_path: Path) -> None:
    """The others' problems are told as well, and no person is called unknown."""
    tree = with_change("catalog.yaml", "time_zone: Europe/Vienna", "time_zone: Europe/Wien")
    tree |= {"customers/brindelaar.yaml": g.CUSTOMER.replace("unit: mm", "unit: cm")}
    reading = read_tree(tmp_path, tree)
    assert reading.catalogue is None
    assert [(each.file, each.field) for each in reading.problems] == [
        ("catalog.yaml", "time_zone"),
        ("customers/brindelaar.yaml", "unit"),
    ]


BROKEN = {
    "part": ("parts/LC-0440/part.yaml", ("part", "LC-0440")),
    "customer": ("customers/brindelaar.yaml", ("customer", "brindelaar")),
    "standard": ("standards/small-clear/3.yaml", ("standard", "small-clear/3")),
    "scope": ("scopes/stereo-1.yaml", ("scope", "stereo-1")),
    "sample": ("limit-samples/LS-0007/sample.yaml", ("limit sample", "LS-0007")),
    "mould": ("moulds/M-118/mould.yaml", ("mould", "M-118")),
    "trial": (f"{T2}/trial.yaml", ("trial", "M-118/T2")),
    "defect": ("defects/gate-vestige.md", ("defect", "gate-vestige")),
}


@pytest.mark.parametrize("file, key", BROKEN.values(), ids=BROKEN)
def test_what_names_a_broken_record_gives_no_second_problem(file: str, key: tuple[str, str], tmp_path: Path) -> None:
    """The one problem is that of the broken file; the record is left out and listed with its place."""
    content = good()[file]
    assert isinstance(content, str)
    broken = content.replace("format: 1\n", "format: 1\nnonsense: 1\n", 1)
    reading = read_tree(tmp_path, good() | {file: broken})
    problem = only(reading)
    assert (problem.file, problem.field) == (file, "nonsense")
    assert sound(reading).broken == {key: f"{file}:{problem.line}"}


def test_a_record_that_a_link_hides_gives_no_second_problem(tmp_path: Path) -> None:
    """What is refused is broken, not missing."""
    tree = good()
    del tree["scopes/stereo-1.yaml"], tree["defects/gate-vestige.md"]
    g_root = tmp_path / "in"
    reading = read_tree(g_root, tree)
    assert len(reading.problems) > 1
    for name in ("scopes/stereo-1.yaml", "defects/gate-vestige.md"):
        (g_root / name).symlink_to("/dev/null")
    assert [each.file for each in read(g_root).problems] == ["defects/gate-vestige.md", "scopes/stereo-1.yaml"]


def test_a_broken_trial_leaves_its_mould_whole(tmp_path: Path) -> None:
    """The other trial is there."""
    tree = with_change(f"{T2}/trial.yaml", "date: 2026-03-04", "date: 4 March")
    tree |= {"moulds/M-118/trials/T1/trial.yaml": g.TRIAL.replace("T2-", "T1-")}
    assert list(sound(read_tree(tmp_path, tree)).moulds["M-118"].trials) == ["T1"]


def test_trials_come_in_the_order_of_their_dates(tmp_path: Path) -> None:
    """Whatever they are called."""
    later = g.TRIAL.replace("2026-03-04", "2026-04-01").replace("2026-03-05", "2026-04-02")
    tree = good() | {"moulds/M-118/trials/A/trial.yaml": later}
    assert list(sound(read_tree(tmp_path, tree)).moulds["M-118"].trials) == ["T2", "A"]


def test_a_broken_tag_keeps_its_picture_and_says_where(tmp_path: Path) -> None:
    """The picture can still be shown; what was found on it can't."""
    reading = read_tree(tmp_path, with_change(f"{T2}/tags/cam-1.png.yaml", "seen: yes", "seen: maybe"))
    first = sound(reading).moulds["M-118"].trials["T2"].pictures[0]
    assert (first.tag, first.tag_broken) == (None, f"{T2}/tags/cam-1.png.yaml:14")
    assert only(reading).field == "findings.0.seen"


def test_a_renamed_picture_is_found_by_its_bytes(tmp_path: Path) -> None:
    """The hint names the picture that the tag was made for."""
    tree = good()
    tree[f"{T2}/images/renamed.png"] = tree.pop(f"{T2}/images/cam-1.png")
    assert only(read_tree(tmp_path, tree)).hint == "was it renamed to `renamed.png`?"


def test_a_lost_picture_is_not_taken_for_another(tmp_path: Path) -> None:
    """A picture with other bytes, or one that has a tag of its own, is not it."""
    tree = good()
    del tree[f"{T2}/images/cam-1.png"]
    tree[f"{T2}/images/cam-2.png"] = picture(1)
    assert "renamed" not in (only(read_tree(tmp_path, tree)).hint or "")


def test_a_refused_picture_is_one_problem(tmp_path: Path) -> None:
    """Its tag isn't called lost as well."""
    read_tree(tmp_path / "in", good())
    plain = tmp_path / "in" / T2 / "images" / "cam-1.png"
    plain.unlink()
    plain.symlink_to("/dev/null")
    assert only(read(tmp_path / "in")).file == f"{T2}/images/cam-1.png"


def test_a_folder_of_links_to_itself_ends(tmp_path: Path) -> None:
    """No folder is walked for ever."""
    read_tree(tmp_path, good())
    (tmp_path / "parts" / "again").symlink_to("..")
    (tmp_path / T2 / "images" / "loop").symlink_to(".")
    assert {each.file for each in read(tmp_path).problems} == {"parts/again/part.yaml", f"{T2}/images/loop"}


def test_reading_twice_gives_the_same(tmp_path: Path) -> None:
    """Nothing depends on the order in which a disk lists its files."""
    first = read_tree(tmp_path, good())
    second = read(tmp_path)
    assert (first.catalogue, first.problems) == (second.catalogue, second.problems)


FILES = [path for path, content in good().items() if isinstance(content, str) and not path.startswith("notes")]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    file=st.sampled_from(FILES),
    at=st.floats(0, 1),
    cut=st.integers(0, 6),
    put=st.one_of(
        st.binary(max_size=6), st.sampled_from([b": ", b"\n", b"\t", b"- ", b"[", b"}", b"&a ", b"*a", b'"'])
    ),
)
def test_no_change_of_bytes_raises(file: str, at: float, cut: int, put: bytes, tmp_path: Path) -> None:
    """Any file damaged anywhere gives problems or a catalogue, and each problem names a file."""
    if not (tmp_path / "catalog.yaml").exists():
        plant(tmp_path, good())
    raw = (tmp_path / file).read_bytes()
    start = int(at * len(raw))
    try:
        (tmp_path / file).write_bytes(raw[:start] + put + raw[start + cut :])
        reading = read(tmp_path)
    finally:
        (tmp_path / file).write_bytes(raw)
    assert reading.catalogue is not None or any(each.file == "catalog.yaml" for each in reading.problems)
    for problem in reading.problems:
        assert problem.file and problem.line >= 0
        assert all(row.isprintable() for row in str(problem).split("\n"))


def test_a_format_with_a_zero_in_front_is_no_newer_one(tmp_path: Path) -> None:
    """The text that stands there, and not a number of another base; nobody has to update for it."""
    tree = with_change("customers/brindelaar.yaml", "format: 1", "format: 010")
    told = read_tree(tmp_path, tree).problems[0]
    assert (told.message, told.hint) == ("`010` is no format; write `format: 1`", None)
