"""`portal log`: what is owed, the reviews, the entries; as sentences, JSON, CSV, XLSX; verified."""

import csv
import json
from datetime import date
from io import BytesIO, StringIO
from pathlib import Path

import pytest
from openpyxl import load_workbook

from portal.model.answer import AskKind
from portal.model.event import About
from portal.model.says import Audience, CommentMade, DecisionRecorded, EventCorrected, FindingWithdrawn, How
from portal.tasks.log import COLUMNS, Row, in_sentences, logs, to_csv, to_xlsx
from portal.tasks.new import new
from tests.log.story import AMMERLUND, CONCESSION, PART, TRIAL, Story, answer, write_raw
from tests.tasks.typed import typed


@pytest.fixture
def told(tmp_path: Path) -> Story:
    """A starter catalogue in whose log somebody asked, sent, answered in part."""
    new(tmp_path / "c")
    story = Story(tmp_path / "c")
    first, second = story.ask("7K3F", "7K3G"), story.ask("7K3H", kind=AskKind.DOES_NOT_CONFORM)
    story.receive(story.send(first, second), answer(2, "C", "7K3H", concession=CONCESSION))
    return story


def test_the_log_says_who_owes_what_since_when_and_how_long_a_review_took(told: Story) -> None:
    """In the shop's own time: the starter's clock is an hour ahead of the world's in March."""
    lines = list(in_sentences(logs(told.root)))
    assert lines[0] == f"{PART}: 1 owed"
    assert lines[1].startswith(
        f"  K. Ammerlund owes an answer about 7K3F and 7K3G of {TRIAL} since 2026-03-04, was due 2026-03-10: Inside"
    )
    assert "of M-118/T2, sent 2026-03-04 15:24: first answer after 0.0 h" in lines[2]
    assert lines[3].startswith("  2026-03-04 15:22  ") and "M. Vasquell asked K. Ammerlund about 7K3F" in lines[3]
    assert "2 C, for 7K3H" in lines[6] and "quantity 500" in lines[6] and "reference DEV-118" in lines[6]
    assert len(lines) == 7


def test_a_catalogue_in_which_nothing_was_asked_says_so(tmp_path: Path) -> None:
    """And how to begin."""
    new(tmp_path / "c")
    assert typed("log", tmp_path / "c").out == "no part has a log yet: `portal ask` begins one\n"


def test_due_days_are_told_as_past_only_once_they_are(told: Story) -> None:
    """The day itself is not past."""
    (row,) = [row for row in logs(told.root, today=date(2026, 3, 10)).rows() if row.section == "owed"]
    assert ", due 2026-03-10:" in row.text and row.due == "2026-03-10"
    (row,) = [row for row in logs(told.root, today=date(2026, 3, 11)).rows() if row.section == "owed"]
    assert ", was due 2026-03-10:" in row.text


def test_json_lists_each_section_with_whole_hashes(told: Story) -> None:
    """From the command line, for one part."""
    listed = typed("log", told.root, "--part", PART, "--json")
    assert listed.code == 0, listed.err
    rows = json.loads(listed.out)
    assert [row["section"] for row in rows] == ["owed", "review", *["entry"] * 4]
    assert rows[0]["ask"] == rows[2]["event"] == told.log.events[0].hash
    assert list(rows[0]) == list(COLUMNS)


def test_what_was_taken_back_stays_and_is_marked(told: Story) -> None:
    """An entry that no longer counts says by which event."""
    noted = told.tell(CommentMade(audience=Audience.SHOP, comment="wrong cavity"))
    back = told.tell(EventCorrected(why="it was cavity 2"), about=About(event=noted.hash))
    lines = list(in_sentences(logs(told.root)))
    assert any(line.endswith(f"wrong cavity (taken back by {back.hash[:8]})") for line in lines)
    assert any(f"took back {noted.hash[:8]}: it was cavity 2" in line for line in lines)


def test_what_is_recorded_or_withdrawn_reads_as_a_sentence(told: Story) -> None:
    """A decision on the telephone; a finding taken back; a kind that nobody knows."""
    given = answer(1, "A", "7K3F", ask=told.log.events[0].hash)
    told.tell(DecisionRecorded(decided_by=AMMERLUND, how=How.TELEPHONE, when="2026-03-05", decision=given))
    told.tell(FindingWithdrawn(why="a hair"), about=About(trial=TRIAL, finding="7K3G"))
    write_raw(told.root, kind="piece-weighed", says={"grams": "0.2"}, at="2026-03-06T08:00:00.000000Z")
    text = "\n".join(in_sentences(logs(told.root)))
    ask = told.log.events[0].hash[:8]
    assert f"recorded for K. Ammerlund (telephone, 2026-03-05) to ask {ask}: A, for 7K3F; not confirmed" in text
    assert "withdrew finding 7K3G: a hair" in text
    assert "something that this version doesn't know (`piece-weighed`)" in text


def test_what_somebody_wrote_can_not_steer_a_terminal(told: Story) -> None:
    """A line break and an escape are shown as their codes; JSON keeps them."""
    told.tell(CommentMade(audience=Audience.SHOP, comment="one\ntwo \x1b[2J"))
    shown = typed("log", told.root)
    assert "one\\ntwo \\x1b[2J" in shown.out and "\x1b" not in shown.out
    assert json.loads(typed("log", told.root, "--json").out)[-1]["text"].endswith("one\ntwo \x1b[2J")


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@x", "\tx", "\rx"])
def test_no_spreadsheet_runs_what_somebody_wrote(text: str) -> None:
    """In a CSV file an apostrophe before it; in a workbook it is text."""
    row = Row(section="entry", part="0440", trial=text, findings="", at="", who="", what="", text="0500")
    content = to_csv((row,))
    assert content.startswith(b"\xef\xbb\xbf")
    (read,) = csv.DictReader(StringIO(content.decode("utf-8-sig"), newline=""))
    assert read["trial"] == f"'{text}" and read["part"] == "0440"
    sheet = load_workbook(BytesIO(to_xlsx((row,))))["entry"]
    cells = dict(zip((cell.value for cell in sheet[1]), sheet[2], strict=True))
    assert cells["part"].value == "0440" and cells["text"].value == "0500"
    value = str(cells["trial"].value).replace("_x000D_", "\r")  # the file format's own way to write a carriage return
    assert (value, cells["trial"].data_type) == (text, "s")


def test_a_workbook_has_a_sheet_for_what_is_owed_for_reviews_and_for_entries(told: Story, tmp_path: Path) -> None:
    """Written by the command, read back; every cell is text."""
    told.tell(CommentMade(audience=Audience.SHOP, comment="0044"))
    done = typed("log", told.root, "--xlsx", tmp_path / "log.xlsx")
    assert done.code == 0 and done.out == ""
    book = load_workbook(tmp_path / "log.xlsx")
    assert book.sheetnames == ["owed", "review", "entry"]
    assert [sheet.max_row for sheet in book] == [2, 2, 6]
    assert {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row if cell.value} == {"s"}


def test_a_longer_text_than_a_cell_holds_is_cut_where_one_sees_it() -> None:
    """A workbook with more would be called damaged."""
    row = Row(section="entry", part="P", trial="", findings="", at="", who="", what="", text="x" * 40_000)
    value = load_workbook(BytesIO(to_xlsx((row,))))["entry"]["H2"].value
    assert isinstance(value, str) and len(value) == 32_767 and value.endswith("longer than a cell may be)")


def test_the_help_says_that_a_spreadsheet_drops_leading_zeros() -> None:
    """Beside the option that it is about."""
    said = " ".join(typed("log", "--help").out.split())
    assert "a spreadsheet drops leading zeros" in said and "Example: portal log" in said


def test_a_log_that_is_not_whole_is_named_and_exits_1(told: Story) -> None:
    """With and without verifying; verifying also asks for the evidence that is named."""
    assert typed("log", told.root, "--verify").code == 0
    first = sorted((told.root / "parts" / PART / "log").iterdir())[0]
    first.write_bytes(first.read_bytes().replace(b"Inside", b"inside"))
    for words in (("--verify",), ()):
        seen = typed("log", told.root, *words)
        assert seen.code == 1
        assert f"{first.name}: changed since it was written, or renamed" in seen.err
    assert f"{PART}: 3 events, " in typed("log", told.root, "--verify").out


def test_a_part_that_is_not_there_is_wrong_use(told: Story) -> None:
    """With the nearest that is."""
    wrong = typed("log", told.root, "--part", "LC-0404")
    assert wrong.code == 2 and "did you mean `LC-0440`?" in wrong.err


def test_a_log_is_read_though_the_catalogue_can_not_be(told: Story) -> None:
    """A log stands for itself; then times are the world's."""
    (told.root / "catalog.yaml").write_text("format: [", encoding="utf-8")
    lines = list(in_sentences(logs(told.root)))
    assert lines[3].startswith("  2026-03-04 14:22  ")
