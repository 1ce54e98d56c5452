"""What the bench answers while something is drawn is what the build says once it is written."""

import re
import shutil
from pathlib import Path

from portal import resources
from portal.bench.answer import answer, judged
from portal.bench.bodies import Question
from portal.bench.drawing import as_text
from portal.bench.index import key_of
from portal.bench.save import place_of, save
from portal.bench.sight import sight
from portal.bench.state import Bench
from portal.tasks.findings import findings
from tests.bench.conftest import GATE, TOP, vestige, wanted
from tests.tasks.small import SPECK, TRIAL
from tests.tasks.test_basis import COUNTING
from tests.tasks.test_fitting import UNAIDED
from tests.tasks.two import change, two_customers


def question(bench: Bench, picture: str, finding: dict[str, object], number: int = 7) -> Question:
    """As the page asks."""
    tag = bench.index.spot(key_of(picture)).picture.tag
    return Question.model_validate(
        {"number": number, "picture": key_of(picture), "place": place_of(tag), "finding": finding}
    )


def test_the_answer_is_the_builds_value_and_verdict(bench: Bench) -> None:
    """The finding that stands in the file, drawn again, comes to the same number and word."""
    row = next(each for each in findings(bench.folder).rows if each.id == "7K3G")
    given = sight(bench, key_of(GATE), bench.speaker())["findings"]
    assert isinstance(given, list)
    data = next(each["data"] for each in given if each["data"]["id"] == "7K3G")
    told = answer(bench, question(bench, GATE, data))
    assert told["number"] == 7
    assert str(told["word"]).replace("-", " ") == row.verdict
    assert f"{float(row.value):.3f}" in str(told["html"])


def test_the_place_that_the_page_has_decides_not_the_files(bench: Bench) -> None:
    """Another setting has no calibration: no value, and the reason."""
    asked = question(bench, TOP, vestige("10,10 60,10"))
    other = asked.model_copy(update={"place": asked.place.model_copy(update={"setting": "zoom-9"})})
    assert "±" in str(answer(bench, asked)["html"])
    assert "±" not in str(answer(bench, other)["html"])


def test_the_instrument_and_what_was_felt_stand_beside_the_verdict(bench: Bench) -> None:
    """In the page's language; and what was felt is judged where nothing else is there yet."""
    gauge = {"characteristic": "length", "readings": ["0.21 mm"], "instrument": "optical gauge OG-2", "u": "2 um"}
    checks = [{"what": "fingernail", "result": "no", "method": "drawn across twice"}]
    finding: dict[str, object] = {
        "defect": "black-speck",
        "zone": "B",
        "seen": "yes",
        "gauge": [gauge],
        "checks": checks,
    }
    for language, said in (("en", "Felt: fingernail: no"), ("de", "Ertastet: Fingernagel: nein")):
        html = str(answer(bench, question(bench, GATE, finding), language=language)["html"])
        assert f"{said} (drawn across twice)" in html and "optical gauge OG-2" in html, html
    del finding["gauge"]
    assert "fingernail" in str(answer(bench, question(bench, GATE, finding))["html"])


def test_what_is_drawn_is_counted_with_what_stands_there(bench: Bench) -> None:
    """At most three in the zone, three stand there: one more doesn't conform while it is drawn, nor once it is written;
    one of the three drawn anew is no fourth."""
    part = bench.folder / "parts/P-0001/part.yaml"
    agreed = "    agreed: {party: vellorin, by: A. Reviewer, date: 2026-02-01}\n"
    counting = COUNTING.replace("unaided", "stereo-20-ring") + agreed
    part.write_text(part.read_text(encoding="utf-8") + counting, encoding="utf-8")
    tag = bench.folder / TRIAL / "tags/c1_top.jpg.yaml"
    more = "".join(SPECK.replace("7K3F", each) for each in ("7K3J", "7K3M"))
    tag.write_text(tag.read_text(encoding="utf-8") + more, encoding="utf-8")
    bench = Bench(bench.folder)
    shape = {"characteristic": "count", "shape": "point", "points": "50,50", "edge": "sharp", "drawn": "by hand"}
    drawn: dict[str, object] = {"defect": "black-speck", "zone": "B", "seen": "yes", "shapes": [shape]}
    assert answer(bench, question(bench, TOP, drawn))["word"] == "does-not-conform"
    assert answer(bench, question(bench, TOP, {**drawn, "id": "7K3M"}))["word"] != "does-not-conform"
    saved = save(bench, wanted(bench, TOP, finding=drawn))
    assert {each.id: each.verdict for each in findings(bench.folder).rows}[saved.id] == "does not conform"


def test_names_of_a_person_never_become_markup(bench: Bench) -> None:
    """A zone that looks like a script is shown as the text that it is."""
    finding = vestige("10,10 60,10") | {"zone": "<script>alert(1)</script>", "defect": "<img src=x>"}
    html = str(answer(bench, question(bench, TOP, finding))["html"])
    assert "<script" not in html and "<img" not in html


def test_limit_samples_stand_beside_at_their_own_scale(tmp_path: Path) -> None:
    """The pair that the criterion of the sample's gate vestige names, each picture by a key of the index."""
    folder = shutil.copytree(resources.sample(), tmp_path / "c", ignore=shutil.ignore_patterns("render"))
    bench = Bench(folder)
    found = next(each for each in bench.catalogue.findings() if each.finding.id == "6M3B")
    given = {name: value for name, value in found.finding.written().items() if name not in {"by", "at"}}
    told = answer(bench, question(bench, found.picture.file, as_text(given)))
    shown = told["beside"]
    assert isinstance(shown, list)
    assert [(each["id"], each["side"]) for each in shown] == [("LS-0007", "Last good"), ("LS-0008", "First bad")]
    for each in shown:
        key = each["sizes"][-1][0].split("/")[2]
        assert bench.index.sample(key).startswith(f"limit-samples/{each['id']}/")
        assert each["um"] and each["value"]


def test_a_limit_sample_without_a_picture_is_named_since_there_is_a_piece(tmp_path: Path) -> None:
    """Also where its picture isn't the one that was agreed any more."""
    folder = shutil.copytree(resources.sample(), tmp_path / "c", ignore=shutil.ignore_patterns("render"))
    (folder / "limit-samples/LS-0008/gate-profile.jpg").unlink()
    shutil.copy(folder / "limit-samples/LS-0011/low-angle.jpg", folder / "limit-samples/LS-0007/gate-profile.jpg")
    bench = Bench(folder)
    found = next(each for each in bench.catalogue.findings() if each.finding.id == "6M3B")
    given = {name: value for name, value in found.finding.written().items() if name not in {"by", "at"}}
    shown = answer(bench, question(bench, found.picture.file, as_text(given)))["beside"]
    assert isinstance(shown, list)
    assert [(each["id"], each["sizes"], each["piece"]) for each in shown] == [
        ("LS-0007", [], True),
        ("LS-0008", [], True),
    ]


def test_a_limit_sample_that_was_agreed_otherwise_is_told_of_beside_the_picture(tmp_path: Path) -> None:
    """With the magnification and the light under which it was agreed, in the page's language."""
    folder = two_customers(tmp_path / "two")
    change(folder, "standards/looks/1.yaml", "conditions:\n", f"conditions:\n{UNAIDED}")
    sample = folder / "limit-samples/LS-0901/sample.yaml"
    text = sample.read_text(encoding="utf-8").replace("zone_class: A", "zone_class: B")
    sample.write_text(text.replace("stereo-20-ring", "unaided"), encoding="utf-8")
    bench = Bench(folder)
    spot = bench.index.spot(key_of(f"{TRIAL}/images/c3_top.jpg"))
    assert spot.picture.tag is not None and spot.part is not None
    for language, said in (("en", "another condition: unaided (unaided eye"), ("de", "anderen Bedingung vereinbart:")):
        finding, told = spot.picture.tag.findings[0], bench.catalogue
        there = judged(spot, finding, told, bench, language=language, with_samples=True)["beside"]
        assert isinstance(there, list)
        warning = str(there[0]["warning"]).replace("\u2068", "").replace("\u2069", "")
        assert said in warning and "B" in warning.partition(".")[2], warning


def test_where_the_criterion_comes_from_is_told_beside_the_verdict(tmp_path: Path) -> None:
    """What it demands, under which light, in which document it stands, and who agreed to it."""
    folder = shutil.copytree(resources.sample(), tmp_path / "c", ignore=shutil.ignore_patterns("render"))
    bench = Bench(folder)
    found = next(each for each in bench.catalogue.findings() if each.finding.id == "6M3B")
    given = {name: value for name, value in found.finding.written().items() if name not in {"by", "at"}}
    html = str(answer(bench, question(bench, found.picture.file, as_text(given)))["html"])
    said = " ".join(re.sub(r"<[^>]*>|[\u2066-\u2069]", "", html.rpartition("Criterion")[2]).split())
    assert said == (
        "GV-C: height −0.050 mm to 0.150 mm. stereo-20-ring (20×, ring light). Stands in drawing LC-0440, revision C, "
        "note 7 (drawing). Agreed by K. Ammerlund, Brindelaar Optics, on 11 February 2026."
    )
