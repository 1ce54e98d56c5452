"""A tag that names what the catalogue doesn't have is refused where it is written, by the rule of `portal check`."""

from typing import Any

import pytest

from portal.bench.bodies import Place
from portal.bench.index import key_of
from portal.bench.save import place_of, save
from portal.bench.state import Bench
from portal.bench.targets import digest_of
from portal.problem import PortalError
from portal.tasks.check import check
from tests.bench.conftest import GATE, vestige, wanted


def placed(bench: Bench, **changes: str) -> dict[str, Any]:
    """The picture's place as the page sends it, with something else in it."""
    return place_of(bench.index.spot(key_of(GATE)).picture.tag) | changes


@pytest.mark.parametrize(
    ("place", "finding", "said"),
    [
        ({"cavity": "9", "piece": ""}, {}, "cavity: `9` is no cavity of mould `M-001` (1, 2)"),
        ({"view": "side"}, {}, "view: `side` is no view of part `P-0001` ("),
        ({"scope": "bench-9"}, {}, "scope: there is no scope `bench-9`"),
        ({"setting": "zoom-9"}, {}, "setting: `zoom-9` is no setting of scope `bench-1`"),
        ({}, {"zone": "Q"}, "findings.2.zone: `Q` is no zone of part `P-0001` (A, B)"),
        ({}, {"defect": "dent"}, "findings.2.defect: there is no defect class `dent`"),
    ],
)
def test_what_the_catalogue_lacks_is_refused_as_check_says_it(
    bench: Bench, place: dict[str, str], finding: dict[str, str], said: str
) -> None:
    """And nothing is written; by hand, the same is told by `portal check` in the same words."""
    path = bench.tag_path(bench.index.spot(key_of(GATE)).picture)
    before = path.read_bytes()
    asked = wanted(bench, id="K7Q2", finding=vestige("1,2 30,40") | finding, place=Place(**placed(bench, **place)))
    with pytest.raises(PortalError) as refused:
        save(bench, asked)
    assert said in str(refused.value) and path.read_bytes() == before
    assert bench.catalogue.moulds["M-001"].trials["T1"].pictures[0].tag == bench.index.spot(key_of(GATE)).picture.tag


def test_what_stood_there_before_holds_nobody_up(bench: Bench) -> None:
    """A person wrote a cavity that there isn't: findings are still saved, and the cavity can be put right."""
    path = bench.tag_path(bench.index.spot(key_of(GATE)).picture)
    text = path.read_text(encoding="utf-8")
    cavity = next(line for line in text.splitlines() if line.startswith("cavity:"))
    path.write_text(text.replace(cavity, 'cavity: "9"'), encoding="utf-8")
    bench = Bench(bench.folder)
    told = [each.message for each in check(bench.folder).problems if each.field == "cavity"]
    assert told == ["`9` is no cavity of mould `M-001` (1, 2)"]
    assert save(bench, wanted(bench, id="K7Q2")).conflict is None
    tag = bench.index.spot(key_of(GATE)).picture.tag
    place = Place(**placed(bench, cavity="1"))
    assert save(bench, wanted(bench, finding=None, place=place, place_seen=digest_of(place_of(tag)))).conflict is None
    assert not [each for each in check(bench.folder).problems if each.field == "cavity"]


def test_a_shot_that_nobody_wrote_down_yet_is_taken(bench: Bench) -> None:
    """A file's name says it first; `portal check` tells what is missing in the trial."""
    assert save(bench, wanted(bench, place=Place(**placed(bench, shot="99", piece="")))).conflict is None
    assert [each.field for each in check(bench.folder).problems] == ["shot"]
