"""Saving on the bench: written whole, written beside where somebody else was quicker, never lost."""

import re
import threading
import time
from pathlib import Path

import pytest

from portal.bench.arrival import CALM_S
from portal.bench.bodies import MarkChecked, NothingSeen
from portal.bench.checked import mark_checked, mark_of
from portal.bench.index import key_of, trial_key
from portal.bench.looked import nothing_seen
from portal.bench.save import save
from portal.bench.state import Bench
from portal.bench.targets import digest_of
from portal.catalog import read
from portal.catalog.alone import Busy
from portal.problem import PortalError
from tests.bench.conftest import GATE, TOP, vestige, wanted
from tests.tasks.small import TRIAL


def tag(bench: Bench, picture: str = GATE) -> Path:
    """Where a picture's tag lies."""
    return bench.tag_path(bench.index.spot(key_of(picture)).picture)


def test_a_new_finding_is_added_and_the_rest_of_the_file_stays(bench: Bench) -> None:
    """Comments and own keys of a person are there as they stood; a table over two lines may come to stand on one."""
    path = tag(bench)
    path.write_text("# mine\n" + path.read_text(encoding="utf-8") + "x-shop: {bag: 0123}   # ours\n", encoding="utf-8")
    before = path.read_text(encoding="utf-8")
    saved = save(bench, wanted(bench))
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [
        line for line in before.splitlines() if "{ch" not in line and "drawn" not in line and line not in lines
    ] == []
    assert f"  - id: {saved.id}" in lines
    assert '        points: "1.00,2.00 30.50,40.25"' in lines
    assert read(bench.folder).problems == ()
    assert [each.name for each in path.parent.iterdir() if each.suffix != ".txt" and "jpg.yaml" not in each.name] == []


def test_an_id_is_four_characters_and_used_by_nobody(bench: Bench) -> None:
    """Crockford's base 32 without I, L, O and U."""
    ids = [save(bench, wanted(bench)).id for _ in range(5)]
    assert len({*ids, "7K3F", "7K3G", "7K3H"}) == 8
    assert all(re.fullmatch("[0-9A-HJKMNP-TV-Z]{4}", each) for each in ids)


def test_what_was_written_unheard_is_not_written_twice(bench: Bench) -> None:
    """The page or the server ended between the two: what is sent again as it was stands there already."""
    first = save(bench, wanted(bench, id="K7Q2"))
    text = tag(bench).read_text(encoding="utf-8")
    again = save(Bench(bench.folder), wanted(bench, id="K7Q2"))
    assert (again.id, again.seen, again.conflict) == ("K7Q2", first.seen, None)
    assert tag(bench).read_text(encoding="utf-8") == text
    changed = vestige("1.00,2.00 30.50,41.25")
    assert save(bench, wanted(bench, id="K7Q2", seen=again.seen, finding=changed)).conflict is None
    assert tag(bench).read_text(encoding="utf-8").count("K7Q2") == 1


def test_two_findings_that_are_alike_are_two(bench: Bench) -> None:
    """Two depths of the same reading, say: which is which is told by the id that the page gave."""
    ids = [save(bench, wanted(bench, id=each)).id for each in ("K7Q2", "K7Q3", "K7Q2")]
    text = tag(bench).read_text(encoding="utf-8")
    assert ids == ["K7Q2", "K7Q3", "K7Q2"] and text.count("K7Q2") == text.count("K7Q3") == 1


def test_what_was_changed_unheard_and_taken_away_unheard_is_no_conflict(bench: Bench) -> None:
    """Also by a server that was started again meanwhile."""
    first = save(bench, wanted(bench, id="K7Q2"))
    changed = wanted(bench, id="K7Q2", seen=first.seen, finding=vestige("1.00,2.00 30.50,41.25"))
    heard = [save(each, changed) for each in (bench, Bench(bench.folder))]
    gone = wanted(bench, id="K7Q2", seen=heard[1].seen, finding=None)
    heard += [save(each, gone) for each in (bench, Bench(bench.folder))]
    assert [each.conflict for each in heard] == [None] * 4
    assert "K7Q2" not in tag(bench).read_text(encoding="utf-8")


def test_an_id_that_another_finding_has_is_told_and_nothing_is_written(bench: Bench) -> None:
    """The page takes another one; on which picture it is taken makes no difference."""
    save(bench, wanted(bench, TOP, id="K7Q2"))
    before = tag(bench).read_bytes()
    assert save(bench, wanted(bench, id="K7Q2")).taken
    assert tag(bench).read_bytes() == before
    assert not save(bench, wanted(bench, id="K7Q3")).taken


def test_a_place_that_was_written_unheard_is_no_conflict(bench: Bench) -> None:
    """What the picture shows was changed twice, and the page heard of neither."""
    asked = wanted(bench, finding=None)
    moved = asked.model_copy(update={"place": asked.place.model_copy(update={"made": "stacked"})})
    heard = [save(bench, moved), save(bench, moved)]
    assert [each.conflict for each in heard] == [None, None]
    back = asked.model_copy(update={"place_seen": heard[1].place_seen})
    assert save(bench, back).conflict is None


def test_a_picture_is_shown_as_its_tag_is_on_disk(bench: Bench) -> None:
    """Without waiting for a look into its folder: what is saved next is no conflict."""
    bench.refresh("M-001", "T1")
    other = Bench(bench.folder)
    first = save(other, wanted(other, id="K7Q2"))
    shown = bench.fresh(key_of(GATE)).picture.tag
    assert shown is not None and shown.findings[-1].id == "K7Q2"
    changed = wanted(bench, id="K7Q2", seen=first.seen, finding=vestige("1.00,2.00 30.50,41.25"))
    assert save(bench, changed).conflict is None


def test_an_untagged_picture_gets_its_tag(bench: Bench) -> None:
    """With the picture's hash and stored size, so that another picture under that name is found out."""
    path = tag(bench)
    path.unlink()
    bench.refresh("M-001", "T1")
    place = {"cavity": "1", "shot": "11", "view": "top", "scope": "bench-1", "setting": "zoom-2-adapter-0.5"}
    empty = {"piece": "", "made": "single"}
    saved = save(bench, wanted(bench, place=place | empty))
    assert saved.conflict is None
    catalogue = read(bench.folder).catalogue
    assert catalogue is not None and read(bench.folder).problems == ()
    written = saved.spot.picture.tag
    assert written is not None and str(written.picture.stored) == "320x240"
    assert (written.cavity, written.shot, written.view) == ("1", 11, "top")


def test_a_finding_is_changed_and_taken_away(bench: Bench) -> None:
    """By its id, with the digest of what the page was given."""
    first = save(bench, wanted(bench))
    seen = digest_of(first.spot.picture.tag.findings[-1].written() if first.spot.picture.tag else None)
    again = save(bench, wanted(bench, id=first.id, seen=seen, finding=vestige("5.00,6.00 7.00,80.00")))
    assert again.id == first.id and '"5.00,6.00 7.00,80.00"' in tag(bench).read_text(encoding="utf-8")
    now = again.spot.picture.tag
    assert now is not None
    gone = save(bench, wanted(bench, id=first.id, seen=digest_of(now.findings[-1].written()), finding=None))
    assert first.id not in tag(bench).read_text(encoding="utf-8")
    assert gone.conflict is None and read(bench.folder).problems == ()


def test_what_was_changed_on_disk_meanwhile_is_not_written_over(bench: Bench) -> None:
    """Theirs stays, ours lies beside it and is listed."""
    first = save(bench, wanted(bench))
    seen = digest_of(first.spot.picture.tag.findings[-1].written() if first.spot.picture.tag else None)
    path = tag(bench)
    theirs = path.read_text(encoding="utf-8").replace("30.50,40.25", "99.00,99.00")
    path.write_text(theirs, encoding="utf-8")
    lost = save(bench, wanted(bench, id=first.id, seen=seen, finding=vestige("5.00,6.00 7.00,80.00")))
    assert path.read_text(encoding="utf-8") == theirs
    assert lost.conflict is not None and re.fullmatch(r"c1_gate\.jpg\.conflict-[0-9TZ.]+\.yaml", lost.conflict)
    assert '"5.00,6.00 7.00,80.00"' in (path.parent / lost.conflict).read_text(encoding="utf-8")
    assert [problem.file.rpartition("/")[2] for problem in read(bench.folder).problems] == [lost.conflict]


def test_another_finding_that_somebody_added_meanwhile_is_kept(bench: Bench) -> None:
    """Two benches on one share add to the same file; neither loses anything."""
    other = Bench(bench.folder)
    ours, stale = wanted(bench), wanted(other)
    first, second = save(bench, ours), save(other, stale)
    text = tag(bench).read_text(encoding="utf-8")
    assert first.id in text and second.id in text and second.conflict is None


def test_two_benches_at_once_lose_nothing(bench: Bench) -> None:
    """Each holds the file only while it writes."""
    benches = [bench, Bench(bench.folder)]
    ids: list[str] = []

    def work(own: Bench) -> None:
        for _ in range(5):
            ids.append(save(own, wanted(own)).id)

    threads = [threading.Thread(target=work, args=(each,)) for each in benches]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    text = tag(bench).read_text(encoding="utf-8")
    assert len(ids) == 10 and all(f"id: {each}" in text for each in ids)


def test_what_the_reader_would_refuse_is_not_written(bench: Bench) -> None:
    """A rectangle of two points, a point outside of the picture, a person nobody knows."""
    before = tag(bench).read_bytes()
    rectangle = vestige("1,1 2,2")
    rectangle["shapes"][0]["shape"] = "rectangle"
    for refused in (
        wanted(bench, finding=rectangle),
        wanted(bench, finding=vestige("1,1 999,2")),
        wanted(bench, by="nobody"),
        wanted(bench, finding=vestige("1,1 2,2") | {"zonne": "B"}),
    ):
        with pytest.raises(PortalError):
            save(bench, refused)
    assert tag(bench).read_bytes() == before


def test_what_a_picture_shows_is_written_by_itself(bench: Bench) -> None:
    """No finding is touched, and no id is given out."""
    asked = wanted(bench, finding=None)
    saved = save(bench, asked.model_copy(update={"place": asked.place.model_copy(update={"made": "stacked"})}))
    tagged = saved.spot.picture.tag
    assert tagged is not None and tagged.made == "stacked" and len(tagged.findings) == 2 and saved.id == ""


def test_another_picture_under_the_same_name_is_not_drawn_on(bench: Bench) -> None:
    """Its tag tells of other pixels."""
    asked = wanted(bench)
    image = bench.folder / GATE
    image.write_bytes((bench.folder / TOP).read_bytes())
    with pytest.raises(PortalError, match="another picture"):
        save(bench, asked)


def test_a_tag_that_cant_be_read_is_left_alone(bench: Bench) -> None:
    """It has to be mended first."""
    tag(bench).write_text("format: 1\npicture: [\n", encoding="utf-8")
    with pytest.raises(Busy):  # somebody may still be writing it
        save(bench, wanted(bench))
    time.sleep(CALM_S)
    bench.refresh("M-001", "T1")
    with pytest.raises(PortalError, match="mend it first"):
        save(bench, wanted(bench))
    assert tag(bench).read_text(encoding="utf-8") == "format: 1\npicture: [\n"


def test_nothing_seen_is_a_file_of_its_own_and_counts_in_the_sheet(bench: Bench) -> None:
    """For that cavity, view and shot, with who and when and under which condition."""
    mould, trial = next(bench.catalogue.trials())
    condition = next(iter(bench.catalogue.standards["looks"]["1"].conditions))
    asked = NothingSeen(
        trial=trial_key(trial), cavity="1", view="top", shot="11", condition=condition, by="first-inspector"
    )
    assert nothing_seen(bench, asked) == "1-top-11.yaml"
    text = (bench.folder / TRIAL / "looked/1-top-11.yaml").read_text(encoding="utf-8")
    assert 'cavity: "1"' in text and "by: first-inspector" in text
    assert len(bench.catalogue.moulds[mould.id].trials[trial.id].looked) == 1
    assert read(bench.folder).problems == ()
    for wrong in ({"view": "below"}, {"cavity": "9"}, {"condition": "by candle"}, {"by": "nobody"}):
        with pytest.raises(PortalError):
            nothing_seen(bench, asked.model_copy(update=wrong))


def test_nothing_seen_by_a_second_person_leaves_the_first_ones_word(bench: Bench) -> None:
    """Who looked first stands there, with the time at which it was."""
    _, trial = next(bench.catalogue.trials())
    condition = next(iter(bench.catalogue.standards["looks"]["1"].conditions))
    asked = NothingSeen(
        trial=trial_key(trial), cavity="1", view="top", shot="11", condition=condition, by="first-inspector"
    )
    path = bench.folder / TRIAL / "looked" / nothing_seen(bench, asked)
    before = path.read_bytes()
    assert nothing_seen(bench, asked.model_copy(update={"by": "first-engineer"})) == path.name
    assert path.read_bytes() == before


def test_a_trial_is_marked_checked_and_its_file_stays_as_it_was(bench: Bench) -> None:
    """By whom and when, and nothing else is touched."""
    _, trial = next(bench.catalogue.trials())
    path = bench.folder / trial.file
    before = path.read_text(encoding="utf-8")
    mark_checked(bench, MarkChecked(trial=trial_key(trial), by="first-inspector", seen=""))
    after = path.read_text(encoding="utf-8")
    assert after.startswith(before) and after.removeprefix(before).startswith("checked: {by: first-inspector, at: 2")
    assert next(bench.catalogue.trials())[1].checked is not None and read(bench.folder).problems == ()
    with pytest.raises(PortalError):
        mark_checked(bench, MarkChecked(trial=trial_key(trial), by="nobody", seen=mark_of(trial)))


def test_a_mark_that_the_page_was_not_given_stays(bench: Bench) -> None:
    """It is the page's own, written unheard, or somebody else's; the one that was given is replaced."""
    key = trial_key(next(bench.catalogue.trials())[1])
    path = bench.folder / next(bench.catalogue.trials())[1].file
    mark_checked(bench, MarkChecked(trial=key, by="first-inspector", seen=""))
    once = path.read_bytes()
    for by in ("first-inspector", "first-engineer"):
        mark_checked(bench, MarkChecked(trial=key, by=by, seen=""))
        assert path.read_bytes() == once
    mark_checked(bench, MarkChecked(trial=key, by="first-engineer", seen=mark_of(bench.index.trial(key)[1])))
    assert path.read_bytes().count(b"checked:") == 1 and b"checked: {by: first-engineer" in path.read_bytes()
