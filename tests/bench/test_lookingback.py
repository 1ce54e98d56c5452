"""What a failed check put in doubt is gone through on the bench, finding by finding, and written beside the check."""

import shutil
from pathlib import Path
from typing import Any

import pytest

from portal.bench.bodies import LookAgain, LookBack, WriteCheck
from portal.bench.index import key_of
from portal.bench.listing import trial_data
from portal.bench.lookingback import look_again, look_back, look_backs_of
from portal.bench.scales import write_check
from portal.bench.state import Bench
from portal.catalog import read
from portal.model.audience import for_audience
from portal.model.scope import LookedAgain, ScaleCheck
from portal.problem import PortalError
from portal.tasks.check import check
from tests.bench.reads import reading
from tests.bench.test_scales import SCOPE, SETTING, asked, laid, said
from tests.tasks.answered import copied
from tests.tasks.packing import pack, ready_catalogue
from tests.tasks.small import TRIAL

T2 = "moulds/M-001/trials/T2"


@pytest.fixture(scope="module")
def sent(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue of which a review was sent, made once; only to be copied."""
    folder = ready_catalogue(tmp_path_factory.mktemp("sent") / "c")
    assert pack(folder).code == 0
    return folder


@pytest.fixture
def doubtful(sent: Path, tmp_path: Path) -> Bench:
    """A bench over a copy of it, after a check that failed."""
    bench = Bench(copied(sent, tmp_path / "c"))
    write_check(bench, WriteCheck(**asked(laid(bench, "b.jpg", 26.5)), by="first-inspector"), said(bench))
    return bench


def the_check(bench: Bench) -> ScaleCheck:
    """As the folder has it."""
    reading = read(bench.folder)
    assert reading.catalogue is not None and reading.problems == ()
    return reading.catalogue.scopes[SCOPE].settings[SETTING].checks[0]


def where(bench: Bench, **changes: Any) -> dict[str, Any]:
    """The check that failed, as the page names it."""
    name = the_check(bench).at.text
    given = {"scope": SCOPE, "setting": SETTING, "kind": "checks", "place": 0, "name": name, "note": ""}
    return given | {"by": "first-inspector"} | changes


def again(bench: Bench, finding: str, result: str = "same", **changes: Any) -> dict[str, object]:
    """Somebody looks at a finding again."""
    more = {"part": "P-0001", "finding": finding, "result": result} | changes
    return look_again(bench, LookAgain(**where(bench, **more)), said(bench))


def plain(html: object) -> str:
    """Without marks of direction."""
    return str(html).replace("\u2068", "").replace("\u2069", "")


def test_each_finding_is_marked_and_then_all_of_it(doubtful: Bench) -> None:
    """By whom, when, and with a word; what `portal check` lists goes with it, and reviews can be sent again."""
    before = len(check(doubtful.folder).problems)
    told = again(doubtful, "7K3F", note="Measured by gauge: 0.21 mm")
    assert told["left"] is False and "Same: F. Inspector" in plain(told["said"])
    assert str(told["said"]).endswith("Measured by gauge: 0.21 mm")
    (mark,) = the_check(doubtful).looked_again
    assert isinstance(mark, LookedAgain)
    assert (mark.finding, mark.result, mark.by) == ("7K3F", "same", "first-inspector")
    assert len(check(doubtful.folder).problems) == before - 1
    html = plain(look_backs_of(doubtful, said(doubtful))["html"])
    assert html.count('data-left="yes"') == 1 and html.count('data-left="no"') == 1
    theirs = for_audience(doubtful.catalogue, "vellorin").scopes[SCOPE].settings[SETTING].checks[0]
    assert theirs.looked_again == () and theirs.at == the_check(doubtful).at
    with pytest.raises(PortalError, match="7K3G is still left"):
        look_back(doubtful, LookBack(**where(doubtful)), said(doubtful))
    with pytest.raises(PortalError, match="7K3G ist noch offen"):
        look_back(doubtful, LookBack(**where(doubtful)), said(doubtful, "de"))
    again(doubtful, "7K3G")
    assert look_back(doubtful, LookBack(**where(doubtful, note="Zoom had moved")), said(doubtful)) == {"html": ""}
    done = the_check(doubtful).looked_back
    assert done is not None and (done.by, done.note) == ("first-inspector", "Zoom had moved")
    assert not [each for each in check(doubtful.folder).problems if "last known to be right" in each.message]


def test_a_trial_tells_that_something_is_to_be_looked_back_at_until_it_is(doubtful: Bench) -> None:
    """One in which nothing was measured with the setting tells nothing."""
    shutil.copytree(doubtful.folder / TRIAL, doubtful.folder / T2)
    for each in (doubtful.folder / T2 / "tags").iterdir():
        each.unlink()
    bench = Bench(doubtful.folder)
    told: dict[str, Any] = {
        key: trial_data(bench, key_of(f"M-001/{key}"), said(bench))["doubts"] for key in ("T1", "T2")
    }
    assert told["T2"] == []
    (one,) = told["T1"]
    assert (one["scope"], one["setting"]) == (SCOPE, SETTING)
    assert plain(one["said"]) == "The scale of bench-1, zoom-2-adapter-0.5 is in doubt."
    german = trial_data(bench, key_of("M-001/T1"), said(bench, "de"))["doubts"]
    assert "Der Maßstab von bench-1, zoom-2-adapter-0.5 ist zweifelhaft." in plain(german)
    again(bench, "7K3F")
    again(bench, "7K3G")
    look_back(bench, LookBack(**where(bench)), said(bench))
    assert trial_data(bench, key_of("M-001/T1"), said(bench))["doubts"] == []


def test_what_changed_is_left_and_said_so(doubtful: Bench) -> None:
    """The last word on a finding holds, and stands once."""
    again(doubtful, "7K3F")
    told = again(doubtful, "7K3F", "changed")
    assert told["left"] is True and "measured anew or withdrawn" in str(told["said"])
    assert [each.result for each in the_check(doubtful).looked_again] == ["changed"]
    assert plain(look_backs_of(doubtful, said(doubtful))["html"]).count('data-left="yes"') == 2


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"by": "nobody"}, "not among `people`"),
        ({"place": 1}, "changed meanwhile"),
        ({"name": "2026-01-01T00:00"}, "changed meanwhile"),
        ({"kind": "calibrations"}, "changed meanwhile"),
        ({"scope": "../x"}, "no scope"),
        ({"setting": "zoom"}, "no setting"),
    ],
)
def test_another_check_is_never_taken_for_it(doubtful: Bench, change: dict[str, Any], why: str) -> None:
    """And nothing is written."""
    before = (doubtful.folder / f"scopes/{SCOPE}.yaml").read_bytes()
    with pytest.raises(PortalError, match=why):
        again(doubtful, "7K3F", **change)
    assert (doubtful.folder / f"scopes/{SCOPE}.yaml").read_bytes() == before


def test_comments_and_the_flow_of_the_file_stay(doubtful: Bench) -> None:
    """A check on one line, as people write them, takes it on that line."""
    path = doubtful.folder / f"scopes/{SCOPE}.yaml"
    text = path.read_text(encoding="utf-8")
    own = the_check(doubtful)
    flow = (
        f'      - {{picture: {own.picture}, points: "{own.points.text}", length: "{own.length.text}", '
        f"at: {own.at.text}, by: {own.by}}}  # the zoom had moved\n"
    )
    head, _, tail = text.partition("    checks:\n")
    rest = "".join(line for line in tail.splitlines(keepends=True) if not line.startswith(("      ", "    -")))
    path.write_text(f"{head}    checks:\n{flow}{rest}", encoding="utf-8")
    doubtful.reread()
    again(doubtful, "7K3F")
    after = path.read_text(encoding="utf-8")
    assert "# the zoom had moved" in after and head in after
    assert the_check(doubtful).looked_again[0].finding == "7K3F"


def test_what_the_bench_knows_is_not_read_again(doubtful: Bench) -> None:
    """The list is of what it holds: a tag that another bench wrote is read, once, and no picture ever again."""
    first = look_backs_of(doubtful, said(doubtful))
    with reading(doubtful.folder) as found:
        assert look_backs_of(doubtful, said(doubtful)) == first
    assert found == []
    path = doubtful.folder / f"{TRIAL}/tags/c1_gate.jpg.yaml"
    path.write_text(path.read_text(encoding="utf-8").replace("7K3G", "7K3X"), encoding="utf-8")
    with reading(doubtful.folder) as found:
        html = str(look_backs_of(doubtful, said(doubtful))["html"])
    assert found == [f"{TRIAL}/tags/c1_gate.jpg.yaml"] and 'data-finding="7K3X"' in html


def test_pictures_of_other_settings_are_never_looked_at(doubtful: Bench) -> None:
    """A trial in which nothing was measured with the setting has no part in it; what it has is listed once it does."""
    other = doubtful.folder / T2
    shutil.copytree(doubtful.folder / TRIAL, other)
    tag = other / "tags/c1_gate.jpg.yaml"
    measured = tag.read_text(encoding="utf-8").replace("7K3G", "7K4G")
    for each in (other / "tags").iterdir():
        each.unlink()
    bench = Bench(doubtful.folder)
    with reading(doubtful.folder) as found:
        html = str(look_backs_of(bench, said(bench))["html"])
    assert html.count("data-finding") == 2
    assert f"{TRIAL}/images/c1_gate.jpg" in found and not [each for each in found if each.startswith(f"{T2}/images")]
    tag.write_text(measured, encoding="utf-8")
    assert 'data-finding="7K4G"' in str(look_backs_of(bench, said(bench))["html"])
