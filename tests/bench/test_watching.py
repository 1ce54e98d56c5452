"""New pictures appear by themselves, whole ones only, whether the system tells of them or not."""

import time
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from watchdog.events import FileSystemEvent

from portal.bench.state import Bench
from portal.bench.watching import BURST_S, Watch
from tests.bench.conftest import GATE
from tests.tasks.small import TRIAL

NEW = f"{TRIAL}/images/c1_new.jpg"


def until(holds: Callable[[], bool], *, within_s: float = 8.0) -> bool:
    """Whether it comes to hold in time."""
    ends = time.monotonic() + within_s
    while not holds():
        if time.monotonic() > ends:
            return False
        time.sleep(0.02)
    return True


def names(bench: Bench) -> list[str]:
    """The pictures that the bench lists."""
    return [each.name for each in bench.catalogue.moulds["M-001"].trials["T1"].pictures]


def zones(bench: Bench) -> set[str]:
    """Those of the findings on the top view, B as the catalogue comes."""
    trial = bench.catalogue.moulds["M-001"].trials["T1"]
    own = [each.tag for each in trial.pictures if each.name == "c1_top.jpg" and each.tag]
    return {each.zone for tag in own for each in tag.findings}


@pytest.mark.parametrize("poll", [False, True])
def test_a_half_written_picture_waits_until_it_is_whole(bench: Bench, poll: bool) -> None:
    """Its first half lies there for a while; then the rest comes, and it appears."""
    content = (bench.folder / GATE).read_bytes()
    bench.ask_about("M-001", "T1")
    with Watch(bench, poll=poll).running():
        (bench.folder / NEW).write_bytes(content[: len(content) // 2])
        assert until(bench.is_waiting)
        assert not until(lambda: "c1_new.jpg" in names(bench), within_s=1.2)
        (bench.folder / NEW).write_bytes(content)
        assert until(lambda: "c1_new.jpg" in names(bench))
    assert not bench.is_waiting()


@pytest.mark.parametrize("poll", [False, True])
def test_a_burst_of_five_hundred_is_one_refresh(bench: Bench, poll: bool) -> None:
    """The page asks once, or once more for each while in which they are still coming; not five hundred times."""
    content = (bench.folder / GATE).read_bytes()
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")
    before = bench.version
    with Watch(bench, poll=poll).running():
        begun = time.monotonic()
        for number in range(500):
            (bench.folder / f"{TRIAL}/images/n{number:03}.jpg").write_bytes(content)
        took = time.monotonic() - begun
        assert until(lambda: len(names(bench)) == 502, within_s=30.0)
    assert 1 <= bench.version - before <= 2 + took / BURST_S


class Silent(Watch):
    """A watch that is told nothing, as on a share on which another machine writes."""

    def on_any_event(self, event: FileSystemEvent) -> None:
        """Nothing is told."""


def test_where_nothing_is_told_it_polls_by_itself(bench: Bench) -> None:
    """A picture that nobody told of is found by the look made to be sure; from then on it looks all the time."""
    content = (bench.folder / GATE).read_bytes()
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")
    watch = Silent(bench)
    with watch.running():
        assert not watch.polls
        (bench.folder / NEW).write_bytes(content)
        assert until(lambda: "c1_new.jpg" in names(bench), within_s=20.0)
        assert until(lambda: watch.polls, within_s=20.0)


def test_where_something_is_told_it_does_not_poll(bench: Bench) -> None:
    """Also after a picture that took its time to be whole."""
    content = (bench.folder / GATE).read_bytes()
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")
    watch = Watch(bench)
    with watch.running():
        (bench.folder / NEW).write_bytes(content[:100])
        assert until(bench.is_waiting)
        (bench.folder / NEW).write_bytes(content)
        assert until(lambda: "c1_new.jpg" in names(bench), within_s=20.0)
        time.sleep(0.5)
        assert not watch.polls


def test_a_tag_that_somebody_else_wrote_is_taken_over(bench: Bench) -> None:
    """As by an editor or another bench."""
    bench.ask_about("M-001", "T1")
    path: Path = bench.folder / f"{TRIAL}/tags/c1_top.jpg.yaml"
    with Watch(bench).running():
        path.write_text(path.read_text(encoding="utf-8").replace("zone: B", "zone: A"), encoding="utf-8")

        assert until(lambda: zones(bench) == {"A"})


def test_a_new_trial_and_a_changed_standard_are_read_while_the_bench_runs(bench: Bench) -> None:
    """And while `catalog.yaml` can't be read, what it said before holds."""
    trial = bench.folder / "moulds/M-001/trials/T2/trial.yaml"
    first = (bench.folder / f"{TRIAL}/trial.yaml").read_text(encoding="utf-8")
    standard = next((bench.folder / "standards").rglob("*.yaml"))
    with Watch(bench).running():
        trial.parent.mkdir(parents=True)
        trial.write_text(first, encoding="utf-8")
        assert until(lambda: "T2" in bench.catalogue.moulds["M-001"].trials)
        standard.write_text(standard.read_text(encoding="utf-8").replace("name: ", "name: Other ", 1), encoding="utf-8")

        def name() -> str:
            return next(iter(next(iter(bench.catalogue.standards.values())).values())).name

        assert until(lambda: name().startswith("Other "))
        (bench.folder / "catalog.yaml").write_text("format: [", encoding="utf-8")
        time.sleep(0.5)
        assert "T2" in bench.catalogue.moulds["M-001"].trials


def test_a_mould_that_cant_be_read_for_a_while_stops_no_watching(bench: Bench) -> None:
    """Somebody edits its file while an inspector works at its trial; once it is right again, new pictures appear."""
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")
    mould = bench.folder / "moulds/M-001/mould.yaml"
    text = mould.read_text(encoding="utf-8")
    with Watch(bench).running():
        mould.write_text("format: [", encoding="utf-8")
        assert until(lambda: "M-001" not in bench.catalogue.moulds)
        time.sleep(0.3)
        mould.write_text(text, encoding="utf-8")
        assert until(lambda: "M-001" in bench.catalogue.moulds)
        (bench.folder / NEW).write_bytes((bench.folder / GATE).read_bytes())
        assert until(lambda: "c1_new.jpg" in names(bench))


@pytest.mark.parametrize("begins", [b"", b"II*\0\x08\0\0\0"])
def test_a_file_that_was_given_its_size_first_waits_for_its_bytes(bench: Bench, begins: bytes) -> None:
    """As a copying program does that keeps the room: nothing but zeros, at its end at least, for a while."""
    image = Image.new("L", (80, 60), 90)
    image.save(bench.folder / "new.tif")
    content = (bench.folder / "new.tif").read_bytes()
    file = bench.folder / NEW.replace(".jpg", ".tif")
    bench.ask_about("M-001", "T1")
    with Watch(bench, poll=True).running():
        file.write_bytes(begins + bytes(len(content) - len(begins)))
        assert until(bench.is_waiting)
        assert not until(lambda: "c1_new.tif" in names(bench), within_s=1.5)
        file.write_bytes(content)
        assert until(lambda: "c1_new.tif" in names(bench))


class Counting(Silent):
    """A watch that is told nothing, and counts how often it looks at every file."""

    looks = 0

    def look(self, *, whole: bool = True) -> bool:
        """One more."""
        self.looks += 1
        return super().look(whole=whole)


def test_a_picture_that_nobody_told_of_is_seen_by_a_glance(bench: Bench) -> None:
    """Before the next look that is made in any case, which is a long while off."""
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")
    watch = Counting(bench)
    with watch.running():
        watch.look()
        assert until(lambda: watch.looks >= 2, within_s=5.0)
        watch._due = time.monotonic() + 600.0
        time.sleep(0.5)
        before = watch.looks
        (bench.folder / NEW).write_bytes((bench.folder / GATE).read_bytes())
        assert until(lambda: "c1_new.jpg" in names(bench), within_s=8.0)
        assert watch.looks - before <= 20


def test_looks_that_take_long_are_far_apart(bench: Bench) -> None:
    """On a share that has to be polled, of many pictures: each rests so that looking takes a sixtieth of a core."""
    bench.refresh("M-001", "T1")
    bench.ask_about("M-001", "T1")

    class Slow(Counting):
        """One whose looks take long."""

        def _look(self, whole: bool) -> bool:
            ends = time.thread_time() + 0.05
            while time.thread_time() < ends:
                pass
            return super()._look(whole)

    watch = Slow(bench, poll=True)
    with watch.running():
        time.sleep(2.5)
    assert 1 <= watch.looks <= 2


def test_a_look_that_is_not_whole_sees_what_came_and_leaves_what_is_known(bench: Bench) -> None:
    """A picture and its tag; what was written into a known tag is for the next whole look."""
    bench.refresh("M-001", "T1")
    tag = bench.folder / f"{TRIAL}/tags/c1_top.jpg.yaml"
    tag.write_text(tag.read_text(encoding="utf-8").replace("zone: B", "zone: A"), encoding="utf-8")
    (bench.folder / NEW).write_bytes((bench.folder / GATE).read_bytes())

    def come() -> bool:
        bench.refresh("M-001", "T1", whole=False)
        return "c1_new.jpg" in names(bench)

    assert until(come)
    assert zones(bench) == {"B"}
    assert bench.refresh("M-001", "T1")
    assert zones(bench) == {"A"}


def test_a_picture_on_its_way_is_not_shown_because_a_record_was_read(bench: Bench) -> None:
    """Another record changed meanwhile, and the folder is read anew: nothing comes that the next look takes away."""
    bench.refresh("M-001", "T1")
    before = names(bench)
    content = (bench.folder / GATE).read_bytes()
    (bench.folder / NEW).write_bytes(content[: len(content) // 2])
    part = bench.folder / "parts/P-0001/part.yaml"
    part.write_text(part.read_text(encoding="utf-8") + "# seen\n", encoding="utf-8")
    assert bench.reread()
    assert names(bench) == before
    bench.refresh("M-001", "T1")
    assert names(bench) == before and bench.is_waiting()
    (bench.folder / NEW).write_bytes(content)
    assert until(lambda: bench.refresh("M-001", "T1"))
    assert "c1_new.jpg" in names(bench)
