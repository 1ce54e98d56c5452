"""What can't be written yet: kept each by itself, told plainly, written once and in order once the bench answers."""

from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, Route, expect

from portal.catalog import read
from portal.log import read as read_log
from tests.bench.forking import end
from tests.browser.benched import At
from tests.browser.sat import Sat, line, lines, sit_down
from tests.browser.test_bench_states import clean
from tests.tasks.small import TRIAL


def drawn_in(folder: Path, name: str = "") -> list[Any]:
    """The findings with a line that are written under one picture, or any."""
    catalogue = read(folder).catalogue
    assert catalogue
    found = [each.finding for each in catalogue.findings() if name in each.picture.file]
    return [each for each in found if any(one.shape == "line" for one in each.shapes)]


def on(folder: Path, name: str) -> list[int]:
    """How far down each line lies that is written under one picture."""
    return sorted(round(shape.points.xy[0][1]) for each in drawn_in(folder, name) for shape in each.shapes)


def deaf(page: Page, *, to: str = "**/api/save*") -> list[str]:
    """The server hears the page, and the page never hears the answer; what was sent so far."""
    sent: list[str] = []

    def lose(route: Route) -> None:
        sent.append(route.request.post_data or "")
        route.fetch()
        route.abort()

    page.route(to, lose)
    return sent


def waiting(page: Page, count: int) -> None:
    """It is told how many aren't written yet."""
    expect(page.locator("#state[data-kind=waiting]")).to_contain_text(f"Not yet written: {count}.")


def saved(page: Page) -> None:
    """All of it is."""
    expect(page.locator("#state[data-kind=saved]")).to_be_visible()


def opened(page: Page, name: str) -> None:
    """Another picture of the trial."""
    page.click(f"#strip button:has-text('{name}')")
    expect(page.locator("#strip [aria-current=true]")).to_contain_text(name)


def marked(page: Page) -> None:
    """The trial is marked checked on its sheet, which can't be done twice while that isn't written."""
    page.keyboard.press("t")
    page.click("#mark-checked")
    expect(page.locator("#mark-checked")).to_be_disabled()
    expect(page.locator("#sheet")).to_contain_text("Checked: not yet written.")
    page.keyboard.press("t")


def test_what_was_written_unheard_and_then_changed_is_one_finding(sat: Sat) -> None:
    """The answer is lost, the finding is changed, and sent again once the bench is heard."""
    page = sat.at.page
    sent = deaf(page)
    line(sat.at, 50)
    waiting(page, 1)
    page.keyboard.press("q")
    page.keyboard.press("Escape")
    assert lines(sat.at.folder) == [50] and sent
    page.unroute("**/api/save*")
    saved(page)
    assert [each.seen.value for each in drawn_in(sat.at.folder)] == ["no"]
    assert list(sat.at.folder.rglob("*.conflict-*")) == []


def test_on_a_telephone_what_is_not_written_stays_in_sight(sat: Sat) -> None:
    """However far down the page somebody is; and nothing of the page's end lies below it."""
    page = sat.at.page
    page.set_viewport_size({"width": 390, "height": 844})
    page.route("**/api/save*", lambda route: route.abort())
    line(sat.at, 50)
    waiting(page, 1)
    page.evaluate("window.scrollTo(0, document.body.scrollHeight)")
    said, last = page.locator("#state").bounding_box(), page.locator("#nothing").bounding_box()
    assert said and last
    assert last["y"] + last["height"] <= said["y"]
    assert said["y"] + said["height"] <= 844


def test_what_was_taken_away_while_unheard_is_gone(sat: Sat) -> None:
    """Written unheard, then taken away; and one that was never sent leaves nothing behind."""
    page = sat.at.page
    deaf(page)
    line(sat.at, 50)
    waiting(page, 1)
    page.keyboard.press("Shift+Delete")
    line(sat.at, 60, first=False)
    page.keyboard.press("Shift+Delete")
    page.unroute("**/api/save*")
    saved(page)
    assert lines(sat.at.folder) == []


def test_work_goes_on_while_the_server_is_away(sat: Sat) -> None:
    """Three findings on two pictures that were open before: told, shown, each written once under its own picture."""
    page, folder = sat.at.page, sat.at.folder
    opened(page, "c1_gate")
    opened(page, "c1_top")
    end(sat.running)
    line(sat.at, 50)
    waiting(page, 1)
    expect(page.locator("#answer")).to_contain_text("No value and no verdict while the bench doesn't answer.")
    line(sat.at, 70, first=False)
    waiting(page, 2)
    opened(page, "c1_gate")
    expect(page.locator("#stage img:not([hidden])").first).to_be_visible()
    assert page.evaluate("() => document.querySelector('#stage img:not([hidden])').naturalWidth") > 0
    line(sat.at, 90)
    waiting(page, 3)
    opened(page, "c1_top")
    expect(page.locator("#findings")).to_contain_text("not yet written")
    clean(page, "three kept")
    assert page.locator("#findings li:has-text('not yet written')").count() == 2
    expect(page.locator("#strip button", has_text="c1_top.jpg")).to_contain_text("findings: 3, not yet written: 2")
    expect(page.locator("#strip button", has_text="c1_gate")).to_contain_text("findings: 3, not yet written: 1")
    marked(page)
    waiting(page, 4)
    sat.start_again()
    saved(page)
    assert (on(folder, "c1_top.jpg"), on(folder, "c1_gate.jpg")) == ([50, 70], [90])
    expect(page.locator("#findings")).not_to_contain_text("not yet written")
    expect(page.locator("#strip")).not_to_contain_text("not yet written")
    expect(page.locator("#strip button", has_text="c1_top.jpg")).to_contain_text("findings: 3")
    assert (folder / TRIAL / "trial.yaml").read_text(encoding="utf-8").count("checked:") == 1
    assert page.evaluate("() => Object.keys(localStorage)") == []


def test_a_picture_that_was_never_open_says_calmly_that_it_takes_the_server(sat: Sat) -> None:
    """And the one that is open stays, with what isn't written."""
    page, images = sat.at.page, sat.at.folder / TRIAL / "images"
    (images / "c1_top_2.jpg").write_bytes((images / "c1_top.jpg").read_bytes())
    page.wait_for_selector("#strip button:has-text('c1_top_2')")
    end(sat.running)
    line(sat.at, 50)
    waiting(page, 1)
    page.click("#strip button:has-text('c1_top_2')")
    expect(page.locator("#refused")).to_contain_text("can't be opened while the bench doesn't answer")
    expect(page.locator("#strip [aria-current=true]")).to_contain_text("c1_top")
    sat.start_again()
    saved(page)
    assert lines(sat.at.folder) == [50]


def without_locks(page: Page) -> None:
    """As under an address of another machine, which a browser doesn't take for secure."""
    page.context.add_init_script("Object.defineProperty(Navigator.prototype, 'locks', { value: undefined });")
    page.reload()
    expect(page.locator("#strip [aria-current=true]")).to_contain_text("c1_top")
    expect(page.locator("#classes button").first).to_be_visible()
    assert page.evaluate("() => navigator.locks === undefined")


@pytest.mark.parametrize("locks", [True, False])
def test_two_tabs_of_one_browser_lose_nothing_of_each_other(sat: Sat, locks: bool) -> None:
    """Each keeps its own; both are closed, and the next page writes both."""
    if not locks:
        without_locks(sat.at.page)
    other = At(sat.at.folder, sat.at.page.context.new_page())
    sit_down(other.page, sat.address)
    for at, y in ((sat.at, 50), (other, 70)):
        at.page.bring_to_front()
        at.page.route("**/api/save*", lambda route: route.abort())
        line(at, y)
        waiting(at.page, 1)
    third = sat.at.page.context.new_page()
    sat.at.page.close()
    other.page.close()
    third.goto(sat.address)
    expect(third.locator("[data-by=first-inspector]")).to_be_visible()
    for _ in range(100):
        if lines(sat.at.folder) == [50, 70]:
            break
        third.wait_for_timeout(100)
    assert lines(sat.at.folder) == [50, 70]


@pytest.mark.parametrize("locks", [True, False])
def test_a_tab_that_lives_keeps_what_is_its_own(sat: Sat, locks: bool) -> None:
    """Another tab that opens takes nothing from it."""
    page = sat.at.page
    if not locks:
        without_locks(page)
    page.route("**/api/save*", lambda route: route.abort())
    line(sat.at, 50)
    waiting(page, 1)
    other = page.context.new_page()
    sent: list[str] = []
    other.on("request", lambda request: sent.append(request.url) if "/api/save" in request.url else None)
    other.goto(sat.address)
    other.wait_for_timeout(6_000)
    assert sent == [] and lines(sat.at.folder) == []
    page.unroute("**/api/save*")
    saved(page)
    assert lines(sat.at.folder) == [50]


def test_a_browser_that_is_killed_sends_all_that_was_kept(sat: Sat) -> None:
    """Three findings on two pictures; the tab's process crashes while nothing can be written."""
    page = sat.at.page
    opened(page, "c1_gate")
    page.route("**/api/save*", lambda route: route.abort())
    line(sat.at, 90)
    waiting(page, 1)
    opened(page, "c1_top")
    line(sat.at, 30)
    waiting(page, 2)
    again = sat.crash()
    again.goto(sat.address)
    expect(again.locator("[data-by=first-inspector]")).to_be_visible()
    for _ in range(100):
        if len(lines(sat.at.folder)) == 3:
            break
        again.wait_for_timeout(100)
    assert (on(sat.at.folder, "c1_top.jpg"), on(sat.at.folder, "c1_gate.jpg")) == ([30, 70], [90])


def test_what_somebody_else_changed_meanwhile_is_shown_and_either_is_taken(sat: Sat) -> None:
    """Two findings were changed on both sides while the server was away; the picture is not open any more."""
    page, folder = sat.at.page, sat.at.folder
    line(sat.at, 50)
    saved(page)
    line(sat.at, 70, first=False)
    saved(page)
    opened(page, "c1_gate")
    opened(page, "c1_top")
    end(sat.running)
    for number in (1, 2):
        page.locator("#findings li button:first-child").nth(number).click()
        page.keyboard.press("q")
        waiting(page, number)
    opened(page, "c1_gate")
    tag = folder / TRIAL / "tags/c1_top.jpg.yaml"
    text = tag.read_text(encoding="utf-8")
    first, *others = text.split("  - id: ")[1:]
    tag.write_text(
        text.split("  - id: ")[0] + "  - id: ".join(["", first, *(each + "    note: theirs\n" for each in others)]),
        encoding="utf-8",
    )
    sat.start_again()
    expect(page.locator("#left > div")).to_have_count(2)
    expect(page.locator("#left")).to_contain_text("theirs")
    for each in drawn_in(folder):
        expect(page.locator("#left")).to_contain_text(f"c1_top.jpg, {each.id}: ")
    clean(page, "two versions of what is not open")
    page.locator("#left > div").nth(0).get_by_role("button", name="Write mine over it").click()
    expect(page.locator("#left > div")).to_have_count(1)
    page.locator("#left > div").nth(0).get_by_role("button", name="Leave theirs").click()
    expect(page.locator("#left")).to_be_hidden()
    saved(page)
    for beside in list(tag.parent.glob("*.conflict-*")):
        beside.unlink()
    told = {(round(each.shapes[0].points.xy[0][1]), each.seen.value, each.note) for each in drawn_in(folder)}
    assert told == {(50, "no", None), (70, "yes", "theirs")}


def test_nothing_seen_and_a_note_are_kept_too_and_written_once(sat: Sat) -> None:
    """A note about a finding that isn't written yet goes behind it; its answer is lost, and it stands there once."""
    page, folder = sat.at.page, sat.at.folder
    page.keyboard.press("k")
    expect(page.locator("#state")).to_have_text("Something was seen on this picture: “nothing seen” was not written.")
    for tag in (folder / TRIAL / "tags").glob("c1_top*"):
        tag.write_text(tag.read_text(encoding="utf-8").replace("seen: yes", "seen: no"), encoding="utf-8")
    opened(page, "c1_gate")
    opened(page, "c1_top")
    page.route("**/api/save*", lambda route: route.abort())
    deaf(page, to="**/api/note*")
    line(sat.at, 50)
    page.keyboard.press("q")
    waiting(page, 1)
    page.keyboard.press("k")
    waiting(page, 2)
    page.click("#talk summary")
    page.check("#talk-form [name=of][value=finding]")
    page.fill("#talk-form [name=words]", "matt to the touch")
    page.click("#talk-write")
    waiting(page, 3)
    page.unroute("**/api/save*")
    waiting(page, 1)
    page.unroute("**/api/note*")
    expect(page.locator("#state[data-kind=waiting]")).to_be_hidden()
    expect(page.locator("#talk-list")).to_contain_text("matt to the touch")
    catalogue = read(folder).catalogue
    assert catalogue
    drawn = drawn_in(folder)
    noted: list[Any] = [each.event for part in catalogue.parts for each in read_log(folder, part).events]
    assert [(each.says.comment, each.about.finding) for each in noted] == [("matt to the touch", drawn[0].id)]
    assert len(list((folder / TRIAL / "looked").glob("*.yaml"))) == 1


def test_a_browser_that_is_killed_leaves_what_lacked_points_on_its_picture(sat: Sat) -> None:
    """Two points of an outline lay on a picture that isn't open any more; the next page goes on with them."""
    page = sat.at.page
    sat.at.pick("area")
    page.locator("#shapes button").filter(has_text="outline").click()
    sat.at.click(200, 60)
    sat.at.click(240, 60)
    opened(page, "c1_gate")
    sat.at.page = sat.crash_now()
    sit_down(sat.at.page, sat.address)
    expect(sat.at.page.locator("#state")).to_contain_text("Not finished")
    sat.at.click(240, 100)
    sat.at.page.keyboard.press("Enter")
    saved(sat.at.page)
    catalogue = read(sat.at.folder).catalogue
    assert catalogue
    shapes = [shape for each in catalogue.findings() for shape in each.finding.shapes if shape.shape == "outline"]
    assert [len(each.points.xy) for each in shapes if round(each.points.xy[0][0]) == 200] == [3]


def test_what_lies_there_half_drawn_and_was_heard_of_meanwhile_is_no_conflict(sat: Sat) -> None:
    """A second line of a finding is begun while the server is away; the first is written before it is gone on with."""
    page = sat.at.page
    opened(page, "c1_gate")
    opened(page, "c1_top")
    page.route("**/api/save*", lambda route: route.abort())
    line(sat.at, 50)
    waiting(page, 1)
    page.keyboard.press("m")
    sat.at.click(50, 80)
    opened(page, "c1_gate")
    page.unroute("**/api/save*")
    saved(page)
    opened(page, "c1_top")
    sat.at.click(80, 80)
    page.keyboard.press("Enter")
    saved(page)
    assert [len(each.shapes) for each in drawn_in(sat.at.folder)] == [2]
    assert list(sat.at.folder.rglob("*.conflict-*")) == []


def test_a_held_key_is_written_while_it_is_held(sat: Sat) -> None:
    """A point that is nudged every 25 ms is written in between, not only once it rests."""
    page = sat.at.page
    line(sat.at, 50)
    saved(page)
    page.keyboard.press("PageUp")
    sent = page.evaluate(
        """() => new Promise(done => {
             const real = window.fetch, pane = document.getElementById('window'), until = performance.now() + 20000;
             const keys = ['ArrowRight', 'ArrowLeft'];
             let sent = 0, turn = 0;
             window.fetch = (path, ...rest) => { sent += path.startsWith('/api/save'); return real(path, ...rest); };
             const held = setInterval(() => {
               const key = keys[(turn += 1) % 2];
               pane.dispatchEvent(new KeyboardEvent('keydown', { key, bubbles: true, cancelable: true }));
               if (sent > 2 || performance.now() > until) { clearInterval(held); window.fetch = real; done(sent); }
             }, 25);
           })"""
    )
    assert sent > 2
    saved(page)


def test_an_id_that_is_taken_is_changed_by_the_page(sat: Sat) -> None:
    """Another finding has it; what was drawn is written under another one."""
    page = sat.at.page
    page.evaluate(
        """() => { const real = crypto.getRandomValues.bind(crypto);  // the first id will be K73G
             const letters = JSON.parse(document.getElementById('bench-data').textContent).ids.letters;
             crypto.getRandomValues = into => {
               crypto.getRandomValues = real;
               [...'K73G'].forEach((one, place) => { into[place] = letters.indexOf(one); });
               return into;
             }; }"""
    )
    tag = sat.at.folder / TRIAL / "tags/c1_gate.jpg.yaml"
    tag.write_text(tag.read_text(encoding="utf-8").replace("id: 7K3G", "id: K73G"), encoding="utf-8")
    page.wait_for_timeout(4_000)
    line(sat.at, 50)
    saved(page)
    catalogue = read(sat.at.folder).catalogue
    assert catalogue and read(sat.at.folder).problems == ()
    ids = [each.finding.id for each in catalogue.findings()]
    assert len(ids) == 4 == len(set(ids)) and lines(sat.at.folder) == [50]
