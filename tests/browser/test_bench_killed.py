"""A browser and a server that are killed lose at most the stroke in hand."""

import os
import random
import time
from pathlib import Path
from threading import Timer

import pytest
from playwright.sync_api import Browser, expect

from portal.catalog import read
from tests.bench.forking import end
from tests.browser.benched import asked
from tests.browser.sat import Sat, line, lines, sit_down, sitting
from tests.tasks.small import TRIAL, small_catalogue


def test_a_killed_server_that_comes_back_gets_what_was_drawn_meanwhile(sat: Sat) -> None:
    """Though it knows nothing of this page any more: the page asks it for a new token by itself."""
    page, folder = sat.at.page, sat.at.folder
    line(sat.at, 50)
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()
    end(sat.running)
    line(sat.at, 90, first=False)
    expect(page.locator("#state[data-kind=waiting]")).to_be_visible()
    assert lines(folder) == [50]
    sat.start_again()
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()
    assert lines(folder) == [50, 90]


def test_a_browser_that_is_killed_sends_what_was_kept_once_it_is_opened_again(sat: Sat) -> None:
    """The tab's process crashes while the bench doesn't answer; another tab sends it."""
    again = sat.crash()
    again.goto(sat.address)
    expect(again.locator("[data-by=first-inspector]")).to_be_visible()
    assert lines(sat.at.folder) == [70]


def test_what_was_kept_and_cant_be_written_is_said_and_stays(sat: Sat) -> None:
    """The tag can't be read when the page is opened again; once it is mended, what was drawn is written."""
    tag = sat.at.folder / TRIAL / "tags/c1_top.jpg.yaml"
    whole = tag.read_bytes()
    again = sat.crash()
    tag.write_text("format: 1\npicture: [\n", encoding="utf-8")
    until_known(sat, broken=True)
    again.goto(sat.address)
    expect(again.locator("#left")).to_contain_text("what was drawn could not be written")
    again.get_by_role("button", name="Try again").dblclick()
    again.reload()
    expect(again.locator("#left")).to_contain_text("could not be written")
    tag.write_bytes(whole)
    until_known(sat, broken=False)
    again.get_by_role("button", name="Try again").click()
    expect(again.locator("#state[data-kind=saved]")).to_be_visible()
    expect(again.locator("#left")).to_be_hidden()
    assert lines(sat.at.folder) == [70]
    again.reload()
    expect(again.locator("[data-by=first-inspector]")).to_be_visible()
    expect(again.locator("#left")).to_be_hidden()


def test_a_full_disk_is_tried_again_by_the_page_itself(sat: Sat) -> None:
    """It says so as long as there is no room, and writes once there is."""
    page, told = sat.at.page, {"error": "the system refuses it: No space left on device", "hint": "", "fields": []}
    page.route("**/api/save*", lambda route: route.fulfill(status=507, json=told))
    line(sat.at, 60)
    expect(page.locator("#state[data-kind=waiting]")).to_contain_text("No space left on device")
    expect(page.locator("#left")).to_be_hidden()
    page.unroute("**/api/save*")
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()
    assert lines(sat.at.folder) == [60]


@pytest.mark.skipif(os.name != "posix", reason="modes are those of POSIX")
def test_a_tag_that_somebody_closed_is_left_alone_and_what_was_drawn_is_kept(sat: Sat) -> None:
    """It says what to do; once it is open again, it is tried again by a button, though another line was drawn since."""
    page, tag = sat.at.page, sat.at.folder / TRIAL / "tags/c1_top.jpg.yaml"
    whole = tag.read_bytes()
    tag.chmod(0o444)
    line(sat.at, 60)
    expect(page.locator("#refused")).to_contain_text("open it for writing")
    assert tag.read_bytes() == whole
    tag.chmod(0o664)
    line(sat.at, 90, first=False)
    page.locator("#left").get_by_role("button", name="Try again").click()
    expect(page.locator("#left")).to_be_hidden()
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()
    assert lines(sat.at.folder) == [60, 90] and tag.stat().st_mode & 0o777 == 0o664


def test_what_is_drawn_while_the_trials_folder_is_away_is_written_once_it_is_back(sat: Sat) -> None:
    """Renamed by somebody, or by a program that synchronises folders: it says so, and nobody has to draw it again."""
    page, home = sat.at.page, sat.at.folder / TRIAL
    away = home.rename(home.with_name("T1-away"))
    expect.set_options(timeout=30_000)
    for _ in range(300):
        if not asked(sat.address, "api/trials"):
            break
        time.sleep(0.05)
    line(sat.at, 60)
    expect(page.locator("#refused")).to_contain_text("renamed or moved")
    assert not home.exists()
    away.rename(home)
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()
    expect(page.locator("#refused")).to_be_hidden()
    assert lines(sat.at.folder) == [60]


def until_known(sat: Sat, *, broken: bool) -> None:
    """Once the server has seen whether a tag of the trial can't be read."""
    key = asked(sat.address, "api/trials")[0]["key"]
    for _ in range(400):
        if any(each["broken"] for each in asked(sat.address, f"api/trial/{key}")["pictures"]) is broken:
            return
        time.sleep(0.05)
    raise AssertionError(broken)


@pytest.mark.parametrize("seed", [0, *(pytest.param(seed, marks=pytest.mark.long) for seed in range(1, 10))])
def test_at_any_moment_at_most_the_stroke_in_hand_is_lost(sat: Sat, seed: int) -> None:
    """The server or the tab's process is killed while lines are drawn; no line is there twice."""
    rng, drawn, in_hand, first = random.Random(seed), list[int](), set[int](), True
    for turn, what in enumerate(rng.sample(["server", "server", "server", "browser", "browser", "nothing"], 6)):
        if what == "server":
            killing = Timer(0.5 * rng.random(), sat.running.kill)
            killing.start()
        line(sat.at, 20 + 34 * turn, first=first)
        drawn.append(20 + 34 * turn)
        first = False
        if what == "server":
            killing.join()
            end(sat.running)
            if rng.random() < 0.7:
                line(sat.at, 37 + 34 * turn, first=False)
                drawn.append(37 + 34 * turn)
            sat.start_again()
        if what == "browser":
            sat.at.page.wait_for_timeout(200 * rng.random())
            in_hand.add(drawn[-1])
            sat.at.page = sat.crash_now()
            sit_down(sat.at.page, sat.address)
            first = True
    for _ in range(300):
        found = lines(sat.at.folder)
        if set(drawn) - set(found) <= in_hand:
            break
        sat.at.page.wait_for_timeout(100)
    assert len(found) == len(set(found)) and set(drawn) - set(found) <= in_hand and set(found) <= set(drawn)
    assert list(sat.at.folder.rglob("*.conflict-*")) == []


def test_two_benches_on_one_share_lose_nothing_though_one_is_killed(tmp_path: Path, chromium: Browser) -> None:
    """Two servers over one folder, a page at each; both draw on the same picture, and change what they drew."""
    folder = small_catalogue(tmp_path / "c")
    with sitting(folder, chromium) as one, sitting(folder, chromium) as other:
        for turn in range(6):
            for number, each in enumerate((one, other)):
                line(each.at, 20 + 30 * turn + 15 * number, first=turn == 0)
                each.at.page.keyboard.press("q")
            if turn == 2:
                end(other.running)
            if turn == 4:
                other.start_again()
        for each in (one, other):
            expect(each.at.page.locator("#state[data-kind=saved]")).to_be_visible()
    assert lines(folder) == [20 + 15 * each for each in range(12)]
    assert list(folder.rglob("*.conflict-*")) == []
    reading = read(folder)
    assert reading.catalogue and reading.problems == ()
    drawn = [
        each.finding for each in reading.catalogue.findings() if any(s.shape == "line" for s in each.finding.shapes)
    ]
    assert {each.seen.value for each in drawn} == {"no"}
