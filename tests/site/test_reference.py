"""The catalogue as a work of reference: what the records of its pages say."""

import pytest

from portal.model.say import Say
from portal.model.terms import Characteristic
from portal.site.agreed import Force, agreed_about, force_of, revisions
from portal.site.contents import contents_of
from portal.site.defect import defect_page, language_name
from portal.site.desk import Desk, desk_for
from portal.site.examples import chosen, examples
from portal.site.fold import folded, initial
from portal.site.index import index_of
from portal.site.pairs import pairs, plates
from portal.site.readings import needs
from portal.site.sample import sample_page
from tests.site.conftest import Built
from tests.site.specimen import read_site
from tests.site.test_pages import Seen

CLASS, CONTENTS, SEARCH = "defects/gate-vestige.html", "catalogue.html", "search.html"


@pytest.fixture(scope="module")
def desk(built: Built) -> Desk:
    """The desk of the small catalogue, without derived pictures."""
    return desk_for(read_site(built.folder))


def test_a_class_tells_its_terms_in_every_language(desk: Desk) -> None:
    """The first word of a language is the term; its language is named in the reader's."""
    terms = defect_page(desk, desk.site.catalogue.defects["gate-vestige"]).terms
    assert [(each.language, each.term) for each in terms] == [
        ("English", "gate vestige"),
        ("German", "Angussrest"),
        ("Chinese", "浇口残留"),
    ]
    assert terms[0].synonyms == ("gate mark",)


def test_a_language_that_nobody_knows_keeps_its_code() -> None:
    """Neither an unknown code nor what is no code at all stops a page."""
    assert language_name("qq", "en") == "qq"
    assert language_name("../x", "en") == "../x"
    assert language_name("pt-BR", "en") == "Portuguese (Brazil)"


def test_examples_show_each_zone_first_and_then_the_worst(desk: Desk) -> None:
    """Worst first among equals, the newest trial before older ones."""
    names = [each.finding for _, each in chosen(desk, "gate-vestige")]
    assert names == ["7K3H", "4A01", "7K3F", "7K3G", "4A02"]
    assert [each.finding for _, each in chosen(desk, "gate-vestige", most=2)] == ["7K3H", "4A01"]
    assert next(each.word for each in examples(desk, "gate-vestige", desk.speaker())) == "does-not-conform"


def test_what_is_in_force_stands_before_earlier_revisions(desk: Desk) -> None:
    """Both standards' newest revisions hold on the day of the page."""
    found = [(each.line.name.get("id"), each.force) for each in agreed_about(desk, "gate-vestige")]
    assert found == [("H-GV", Force.NOW), ("GV-B", Force.NOW), ("H-GV", Force.EARLIER)]
    assert [each.revision for each in revisions(desk, "house")] == ["2", "3"]
    assert [force_of(desk, each) for each in revisions(desk, "house")] == [Force.EARLIER, Force.NOW]


@pytest.mark.parametrize(
    ("name", "key"),
    [("height", "reading.profile"), ("projection", "reading.plane"), ("diameter", "reading.face")],
)
def test_each_characteristic_says_which_view_it_needs(name: str, key: str) -> None:
    """In words of the one table by which readings are refused."""
    assert needs(Characteristic(name)) == Say.of(key)


def test_a_class_names_the_views_that_show_what_is_measured(built: Built) -> None:
    """The part's gate view sees the zone in profile; its top view doesn't count."""
    text = Seen(built.text(CLASS)).text
    assert "in profile; face-on it can't be read" in text
    assert "Probe ring: gate-profile (zone B)" in text
    assert "top (zone" not in text


def test_causes_are_marked_as_the_shops(built: Built) -> None:
    """On the shop's own site, since they aren't shared."""
    text = Seen(built.text(CLASS)).text
    assert "Common causes shop only" in text and "A worn gate" in text
    assert "Nobody has checked the terms yet." in text


def test_pairs_stand_last_good_first_and_each_sample_once(desk: Desk) -> None:
    """Whichever of the two is named first."""
    known = desk.site.catalogue.limit_samples
    for order in (["LS-0007", "LS-0008"], ["LS-0008", "LS-0007"]):
        assert [[each.id for each in pair] for pair in pairs(desk, (known[name] for name in order))] == [
            ["LS-0007", "LS-0008"]
        ]


def test_a_pair_is_shown_at_one_physical_scale(built: Built, desk: Desk) -> None:
    """Both fields are as wide and as high in micrometres."""
    known = desk.site.catalogue.limit_samples
    shown = plates(desk, (known["LS-0007"], known["LS-0008"]), desk.speaker())
    assert all(each.same_scale for each in shown)
    assert "Both at the same physical scale." in Seen(built.text(CLASS)).text


def test_a_sample_that_nobody_photographed_lacks_no_file(desk: Desk) -> None:
    """There is none is another thing than one whose file is gone."""
    kept = desk.site.catalogue.limit_samples["LS-0007"]
    bare = kept.model_copy(update={"pictures": ()})
    gone = kept.model_copy(update={"pictures": (kept.pictures[0].model_copy(update={"file": "gone.jpg"}),)})
    shown = plates(desk, (bare, gone), desk.speaker())
    assert [each.view.missing for each in shown] == [Say.of("picture.none_made"), Say.of("picture.not_there")]


def test_the_contents_name_every_class_standard_pair_and_scope(desk: Desk) -> None:
    """Nothing of the catalogue is without a way to it."""
    contents = contents_of(desk)
    assert [each.address for each in contents.classes] == [
        "defects/speck.html",
        "defects/gate-vestige.html",
        "defects/splay.html",
    ]
    listed = [[line.name.get("revision") for line in each.revisions] for each in contents.standards]
    assert listed == [["3", "2"], ["1"]]
    assert len(contents.pairs) == 1 and [each.name for each in contents.scopes] == ["bench-1"]


def test_every_page_leads_to_the_contents_and_the_search(built: Built) -> None:
    """A stranger finds the catalogue from wherever a link has led."""
    for path in (each for each in built.pages if each.endswith(".html")):
        hrefs = [attrs.get("href", "") for tag, attrs in Seen(built.text(path)).elements if tag == "a"]
        assert [each for each in hrefs if each.endswith("catalogue.html")], path
        assert [each for each in hrefs if each.endswith("search.html")], path


def test_the_index_holds_every_record_under_its_letter(desk: Desk) -> None:
    """Terms of every language, both part numbers, criteria of every revision, findings and pictures."""
    index = index_of(desk)
    found = {(each.kind, each.name) for letter in index.letters for each in letter.entries}
    assert {
        ("class", "gate vestige"),
        ("term", "gate mark"),
        ("term", "Überstand am Anguss"),
        ("term", "浇口残留"),
        ("part", "Probe ring"),
        ("part", "PR-20"),
        ("part", "0044-17"),
        ("criterion", "H-SP"),
        ("condition", "eye"),
        ("sample", "LS-0007"),
        ("scope", "bench-1"),
        ("trial", "First shots"),
        ("finding", "7K3F"),
    } <= found
    under = {letter.heading: [each.name for each in letter.entries] for letter in index.letters}
    assert "Überstand am Anguss" in under["U"] and "7K3F" in under["0–9"] and under["…"] == ["浇口残留"]
    assert index.count == sum(len(each) for each in under.values())


def test_the_index_finds_by_what_pages_tell_beside_a_name(desk: Desk) -> None:
    """What a class looks like in its own words and why it comes about, a finding's note, an artefact."""
    words = {
        (each.kind, each.name): " ".join(each.words) for letter in index_of(desk).letters for each in letter.entries
    }
    assert "A worn gate" in words["class", "gate vestige"]
    assert desk.site.catalogue.defects["gate-vestige"].prose.strip() in words["class", "gate vestige"]
    assert any("Torn on the runner" in text for (kind, _), text in words.items() if kind == "finding")
    assert "stage micrometer" in words["scope", "bench-1"]


def test_letters_are_sorted_as_one_looks_them_up() -> None:
    """Accents and case don't count, `ß` is `ss`."""
    assert folded("Größe ÅNGSTRÖM") == "grosse angstrom"
    assert [initial(each) for each in ("Österreich", "ßa", "4Q", "浇", "- x", "#")] == ["O", "S", "0–9", "…", "X", "…"]


def test_a_sample_on_which_nothing_is_drawn_says_that_it_is_shown_whole(desk: Desk) -> None:
    """One with an outline on its picture says nothing of the kind, nor one without a picture."""
    kept = desk.site.catalogue.limit_samples["LS-0007"]
    kept = kept.model_copy(update={"pictures": (kept.pictures[0].model_copy(update={"shapes": ()}),)})
    assert sample_page(desk, kept, "").undrawn
    shape = next(each for found in desk.site.catalogue.findings() for each in found.finding.shapes)
    drawn = kept.pictures[0].model_copy(update={"shapes": (shape,)})
    assert not sample_page(desk, kept.model_copy(update={"pictures": (drawn,)}), "").undrawn
    assert not sample_page(desk, kept.model_copy(update={"pictures": ()}), "").undrawn
    gone = kept.pictures[0].model_copy(update={"file": "gone.jpg"})
    assert not sample_page(desk, kept.model_copy(update={"pictures": (gone,)}), "").undrawn
