"""Files of a line for each thing: each line is found by its name, and none where another file stands there by now."""

import gc
import tracemalloc
from pathlib import Path

from portal.tasks.drawn import WANTS, Drawn, Left, Wants, load, said_of, save, sealed
from portal.tasks.lines import Aside, Noted, Places, line, name_of


def test_places_are_found_by_name_in_their_order() -> None:
    """Those of a name that has several, before and after others came."""
    places = Places()
    for number in range(100):
        places.add(f"name {number % 30}", 1000 - number, number)
    assert [*places.of("name 7")] == [(993, 7), (963, 37), (933, 67), (903, 97)]
    places.add("name 7", 5, 6)
    assert [*places.of("name 7")][-1] == (5, 6) and not [*places.of("another")]
    assert next(iter(places)) == (5, 6) and len(places) == 101


def test_lines_set_aside_are_read_again(tmp_path: Path) -> None:
    """By name and all of them; another that writes to the same file afterwards has its own only."""
    path = tmp_path / "new" / "lines"
    first, second = Aside(path), Aside(path)
    for number in range(5):
        first.put(f"{number % 2}", {"number": number})
    first.done()
    second.put("0", "\u00fc\t\n")
    second.done()
    assert [*first.of("1")] == [{"number": 1}, {"number": 3}] and len([*first.all()]) == 5
    assert [*second.all()] == [("0", "\u00fc\t\n")]
    assert not [*Aside(path).all()] and first.lines("0") == 3


def test_nothing_is_found_where_another_file_stands(tmp_path: Path) -> None:
    """Neither a line of another name nor one of another kind, nor where there is no file any more."""
    path = tmp_path / "lines"
    noted = Noted(path, b"kind")
    noted.add("name", 0, 30)
    path.write_bytes(line(b"kind", "eman", 1))
    assert not [*noted.of("name")]
    path.write_bytes(line(b"dnik", "name", 1))
    assert not [*noted.of("name")]
    path.write_bytes(line(b"kind", "name", 1))
    assert [*noted.of("name")] == [1]
    path.unlink()
    assert not [*noted.of("name")]


def test_what_was_drawn_is_read_as_it_was_written(tmp_path: Path) -> None:
    """Pages, cards by what they were made from, groups, wants; also once the file was taken away."""
    left = Left(7, 1_700_000_000_123_456_789, "key", (("a.jpg", 3), ("b.jpg", 4)))
    cards = [(f"{number:02x}" * 32, 10 * number, number) for number in range(150)]
    wants = Wants("said", {"a/b.jpg": {"7/whole/1": ("a.jpg", 3)}})
    pages = [("a.html", left, cards[:140]), ("b.html", Left(1, 2), cards[140:])]
    kept = [line(WANTS, "w", said_of(wants))]
    save(tmp_path, pages=pages, groups=[("g", ("a.html", "b.html"))], kept=kept)
    known = load(tmp_path, ("a/b.jpg",))
    assert [*known.pages.items()] == [("a.html", left), ("b.html", Left(1, 2))]
    assert known.groups["g"] == ("a.html", "b.html") and "h" not in known.groups
    assert known.wants["w"].said == "said" and len(known.wants["w"].files["a/b.jpg"]) == 1
    known.take_away(tmp_path / "away")
    assert [*tmp_path.iterdir()] == [tmp_path / "away"] and known.pages["a.html"] == left
    assert [*map(name_of_line, known.lines_of("b.html"))] == ["b.html", "b.html"]
    for page, _, many in pages:
        assert [*map(tuple, known.cards_of(page))] == many
        assert all(known.card(key) == (page, start, length) for key, start, length in many)
    assert known.card("ff" * 32) is None and known.card(cards[3][0][:-1] + "e") == known.card(cards[3][0])


def test_of_what_was_drawn_hardly_anything_is_held(tmp_path: Path) -> None:
    """Of a picture's page, its three cards and what it wants: the places of lines and cards, some hundred bytes, also
    once all of it was asked for."""
    number = 500
    cards = [(f"{each:064x}", each, 7) for each in range(3 * number)]
    assets = tuple((f"{each:020x}.jpg", each) for each in range(6))
    pages = [
        (f"pictures/{each}.html", Left(1, each, f"{each:064x}", assets), cards[each::number]) for each in range(number)
    ]
    wants = [
        line(
            b"wants",
            f"{each:064x}",
            ("said", {sealed(f"{each}.jpg"): {f"7/{each:064x}/whole/{by}": assets[by] for by in range(6)}}),
        )
        for each in range(number)
    ]
    save(tmp_path, pages=pages, groups=(), kept=wants)
    del pages, wants
    pictures = [f"{each}.jpg" for each in range(number)]
    gc.collect()
    tracemalloc.start()
    try:
        known = load(tmp_path, pictures)
        assert all(known.pages[path].key and len([*known.cards_of(path)]) == 3 for path in known.pages)
        assert all(known.wants[key].files for key in known.wants)
        gc.collect()
        held, _ = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert (held - 4 * (1 << 16)) / number < 700


def name_of_line(said: bytes) -> str:
    """The name of a line."""
    return name_of(said.partition(b"\t")[2])


def test_what_can_not_be_read_is_nothing(tmp_path: Path) -> None:
    """Of another form, cut off, of strange kinds, or not there: then all is drawn anew."""
    save(tmp_path, pages=[("a.html", Left(1, 2), ())], groups=())
    file = next(tmp_path.iterdir())
    whole = file.read_bytes()
    for harmed in (b"", b"{}", whole[:-20] + b"\n", whole + b"strange\t1\t2\n", whole.replace(b"form", b"from")):
        file.write_bytes(harmed)
        known = load(tmp_path, ())
        assert not [*known.pages] and known.pages.get("a.html") is None
    Drawn().take_away(tmp_path / "away")
    assert file.exists()
