"""`portal pack`: what stops it, what it keeps, what it writes, and that it can be cut off anywhere."""

import hashlib
import html
import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader

from portal.log import verify
from portal.model.digest import canonical, digest
from portal.model.reply import WIDTH
from portal.model.says import ReviewSent
from portal.model.shown import Shown
from portal.problem import PortalError
from portal.tasks import pack as task
from tests.tasks.judged import ENGINEER, MAY_ALL, MAY_LITTLE, PART, TRIAL_NAME, opened
from tests.tasks.packing import carriers, events, pack, ready_catalogue
from tests.tasks.small import TRIAL
from tests.tasks.two import change
from tests.tasks.typed import typed

TOP = Path(__file__).resolve().parents[2]


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A catalogue ready to be sent, made once."""
    return ready_catalogue(tmp_path_factory.mktemp("ready") / "c")


@pytest.fixture(scope="module")
def sent(ready: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same after its review was sent."""
    folder = tmp_path_factory.mktemp("sent") / "c"
    shutil.copytree(ready, folder)
    packed = pack(folder)
    assert packed.code == 0, packed.err
    return folder


@pytest.fixture
def folder(ready: Path, tmp_path: Path) -> Path:
    """A copy of what is ready, for one test."""
    shutil.copytree(ready, tmp_path / "c")
    return tmp_path / "c"


@pytest.fixture
def after(sent: Path, tmp_path: Path) -> Path:
    """A copy of what was sent, for one test."""
    shutil.copytree(sent, tmp_path / "c")
    return tmp_path / "c"


def store_of(folder: Path) -> Path:
    """The only review's folder."""
    (found,) = (folder / "parts" / PART / "reviews").glob("T1-*")
    return found


def shown_in(folder: Path) -> Shown:
    """What the only review showed."""
    return Shown.model_validate_json((store_of(folder) / "shown.json").read_bytes())


def test_what_was_shown_is_kept_under_its_digest_and_recorded_once(sent: Path) -> None:
    """The folder's name, the event, the hash of the file that `sha256sum` would give, one and the same."""
    store = store_of(sent)
    content = (store / "shown.json").read_bytes()
    own = hashlib.sha256(content).hexdigest()
    (review,) = opened(sent).state.reviews.values()
    assert review.digest == own and store.name == f"T1-{own[:8]}" and review.number == 1
    assert canonical(json.loads(content)) == content == canonical(shown_in(sent).plain())
    assert verify(sent, PART).is_whole


def test_every_finding_is_shown_with_what_it_rests_on(sent: Path) -> None:
    """The kept basis hashes to the digest that the event is bound to, and it is today's."""
    part = opened(sent)
    shown = shown_in(sent)
    assert {each.id for each in shown.findings} == set(part.bases)
    for each in shown.findings:
        assert each.basis == digest(each.rests_on) == part.bases[each.id]
    says = part.log.events[-1].event.says
    assert isinstance(says, ReviewSent)
    assert {each.finding: each.basis for each in says.shown} == dict(part.bases)


def test_the_asks_of_the_log_are_numbered_and_offer_what_they_offer(sent: Path) -> None:
    """Three verdicts propose three asks; each names its event."""
    part, shown = opened(sent), shown_in(sent)
    assert [each.number for each in shown.asks] == [1, 2, 3]
    for each in shown.asks:
        ask = part.state.asks[each.ask]
        assert ask.question == each.question and {one.letter for one in each.letters} == set(ask.offers)
        assert ask.sent[0].number == each.number


def test_pictures_are_kept_as_pixels_under_their_hash(sent: Path) -> None:
    """Whole ones and parts; each is named by its own bytes and holds nothing of a camera."""
    store, shown = store_of(sent), shown_in(sent)
    kept = {each.name: each.read_bytes() for each in (store / "pictures").iterdir()}
    assert set(kept) == {f"{each.sha256}.jpg" for each in shown.pictures}
    assert all(hashlib.sha256(body).hexdigest() == name[:-4] for name, body in kept.items())
    assert all(b"Exif" not in body for body in kept.values())
    assert {each.name for each in shown.pictures if each.whole} == {"c1_top.jpg", "c1_gate.jpg"}


def test_packing_again_appends_nothing_and_writes_the_same(after: Path) -> None:
    """Also when the carriers were thrown away; what went out stays as it is."""
    before, names = carriers(after), events(after)
    shutil.rmtree(store_of(after) / "carriers")
    again = pack(after)
    assert again.code == 0 and "was sent already" in again.out
    assert carriers(after) == before and events(after) == names


def test_pictures_that_a_site_shows_are_taken_over_and_held_against_their_hash(ready: Path, tmp_path: Path) -> None:
    """The same review with and without a site built before; a changed file of the site is made anew."""
    plain, built = (shutil.copytree(ready, tmp_path / name) for name in ("plain", "built"))
    assert typed("build", built, "--jobs", "1").code == 0
    asset = max((built / "site/shop/assets").glob("*.jpg"), key=lambda path: path.stat().st_size)
    asset.write_bytes(asset.read_bytes()[:-1] + b"?")
    assert pack(plain).code == 0 and pack(built).code == 0
    assert (store_of(plain) / "shown.json").read_bytes() == (store_of(built) / "shown.json").read_bytes()
    for path in (store_of(built) / "pictures").iterdir():
        assert hashlib.sha256(path.read_bytes()).hexdigest() == path.stem


def test_the_same_review_gives_the_same_bytes_elsewhere(after: Path, tmp_path: Path) -> None:
    """Under another hash seed, time zone, locale, umask, in another folder, by another process."""
    before = carriers(after)
    other = tmp_path / "elsewhere" / "Ü c"
    shutil.copytree(after, other)
    shutil.rmtree(store_of(other) / "carriers")
    words = ["pack", str(other), "--part", PART, "--trial", TRIAL_NAME, "--by", ENGINEER]
    script = f"import os, sys; os.umask(0o077); from portal.cli import main; sys.argv = ['portal', *{words!r}]; main()"
    for seed, zone, locale in (("1", "Pacific/Auckland", "C"), ("77", "America/Los_Angeles", "de_DE.UTF-8")):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": locale, "PYTHONPATH": str(TOP)}
        done = subprocess.run(
            [sys.executable, "-X", "utf8", "-c", script], env=env, stdin=subprocess.DEVNULL, capture_output=True
        )
        assert done.returncode == 0, done.stderr
        assert carriers(other) == before


def test_packed_but_not_recorded_is_completed_by_the_next_pack(after: Path) -> None:
    """As if the machine went off between keeping and recording."""
    (last,) = [name for name in events(after) if b'"review-sent"' in (after / f"parts/{PART}/log/{name}").read_bytes()]
    (after / f"parts/{PART}/log/{last}").unlink()
    assert not verify(after, PART).is_whole
    again = pack(after)
    assert again.code == 0 and "sent review 1" in again.out
    assert verify(after, PART).is_whole and len(list((after / f"parts/{PART}/reviews").glob("T1-*"))) == 1


def test_a_folder_half_written_is_no_review(folder: Path) -> None:
    """What a killed process leaves behind is passed over and does no harm."""
    half = folder / f"parts/{PART}/reviews/.half-12345678-0000"
    half.mkdir(parents=True)
    (half / "shown.json").write_text("{", encoding="utf-8")
    assert pack(folder).code == 0
    assert verify(folder, PART).is_whole


def test_the_mail_is_enough_by_itself_and_no_program_wraps_it(sent: Path) -> None:
    """Every question with its letters, findings, the check code; lines short enough."""
    code = store_of(sent).name[-8:]
    text = carriers(sent)[f"review-1-{code}.txt"].decode("utf-8")
    assert all(len(line) <= WIDTH for line in text.splitlines())
    flat = " ".join(text.split())
    for ask in shown_in(sent).asks:
        assert " ".join(ask.question.split()) in flat
        assert all(f"[{each.letter}]" in text for each in ask.letters) and all(one in text for one in ask.findings)
    assert text.startswith(f"[review {code}]") and text.rstrip().endswith(f"[review {code} ends]")


def test_a_plain_reply_to_the_mail_comes_back_into_the_log(after: Path, tmp_path: Path) -> None:
    """Answered above the whole quoted mail: nothing of ours is taken for an answer."""
    code = store_of(after).name[-8:]
    ours = carriers(after)[f"review-1-{code}.txt"].decode("utf-8")
    reply = tmp_path / "reply.txt"
    quoted = "\n".join(f"> {line}" for line in ours.splitlines())
    reply.write_text(f"Review {code}\nAnswered by: {MAY_ALL}\n\n1 B\n2 A\n\n{quoted}\n", encoding="utf-8")
    came = typed("receive", after, reply, "--by", ENGINEER)
    assert came.code == 0, came.err
    (review,) = opened(after).state.reviews.values()
    assert [(each.number, str(each.letter)) for each in review.received[0].answers] == [(1, "B"), (2, "A")]
    assert review.received[0].unclear == ()


def test_the_zip_holds_the_pictures_under_their_own_names(sent: Path, tmp_path: Path) -> None:
    """And says first that it wants to be extracted; nothing leads out of its folder."""
    (name,) = [each for each in carriers(sent) if each.endswith(".zip")]
    (tmp_path / name).write_bytes(carriers(sent)[name])
    with zipfile.ZipFile(tmp_path / name) as archive:
        assert archive.testzip() is None
        names = archive.namelist()
        assert names[0] == "READ-ME-FIRST.txt" and "Extract the whole zip" in archive.read(names[0]).decode()
        assert {"pictures/c1_top.jpg", "pictures/c1_gate.jpg", "shown.json"} <= set(names)
        assert all(each.isascii() and ".." not in each for each in names)
        assert hashlib.sha256(archive.read("shown.json")).hexdigest()[:8] == store_of(sent).name[-8:]


def test_the_one_file_asks_every_question_and_takes_every_letter(sent: Path) -> None:
    """Nothing selected, nothing fetched, small enough for a mail; it lies in the zip too."""
    code = store_of(sent).name[-8:]
    body = carriers(sent)[f"review-1-{code}.html"]
    text = html.unescape(body.decode("utf-8"))
    page = text[text.index("<body") : text.index("<script")]
    assert len(body) <= 7_000_000 and " checked" not in page
    assert not re.search(r'(?:src|href)=(?!"#|"data:image/jpeg;base64,|"mailto:)', page)
    for ask in shown_in(sent).asks:
        assert ask.question in text
        for each in ask.letters:
            assert f'<input type="radio" name="{ask.number}.letter" value="{each.letter}">' in text
    with zipfile.ZipFile(BytesIO(carriers(sent)[f"review-1-{code}.zip"])) as archive:
        zipped = archive.read(f"review-1-{code}.html").decode("utf-8")
        assert archive.read("extracted.css")
    told = re.compile(r'<p class="not-extracted">.*?</p>|<link rel="stylesheet" href="extracted.css">\n')
    assert len(told.findall(zipped)) == 2 and not told.search(body.decode("utf-8"))
    assert told.sub("", zipped).replace("&#39; &#39;self&#39;; img-src", "&#39;; img-src") == body.decode("utf-8")


def test_a_smaller_file_is_made_on_demand(after: Path) -> None:
    """The same questions with smaller pictures; the others stay as they were."""
    before, code = carriers(after), store_of(after).name[-8:]
    assert pack(after, "--small").code == 0
    now = carriers(after)
    small = now.pop(f"review-1-{code}-small.html")
    assert now == before and len(small) <= len(before[f"review-1-{code}.html"])


def test_the_pdf_says_every_question_with_its_letters_and_numbers_its_pages(sent: Path) -> None:
    """Read back by another library; small enough for any gateway."""
    (name,) = [each for each in carriers(sent) if each.endswith(".pdf")]
    body, code = carriers(sent)[name], store_of(sent).name[-8:]
    reader = PdfReader(BytesIO(body))
    texts = [" ".join(each.extract_text().split()) for each in reader.pages]
    whole = " ".join(texts)
    assert len(body) <= 5_000_000
    for number, text in enumerate(texts, start=1):
        assert f"check code {code}" in text and f"{number} / {len(texts)}" in text
    for ask in shown_in(sent).asks:
        assert " ".join(ask.question.split()) in whole
        assert all(f"{each.letter} {each.meaning}" in whole for each in ask.letters)
    for finding in shown_in(sent).findings:
        assert finding.id in whole and " ".join(finding.sentence.split()) in whole
    assert sum(len(each.images) for each in reader.pages) >= 2
    rulers = [each for finding in shown_in(sent).findings for each in finding.rulers]
    assert rulers and "The whisker holds the true value with 95 % on two sides" in whole
    for ruler in rulers:
        assert f"at most {ruler.upper.text if ruler.upper else ''}" in whole
        assert f"calls conforming up to {ruler.accept_to_shown}" in whole


def test_mail_and_pdf_say_that_an_ask_takes_words_and_show_its_picture(folder: Path, sent: Path) -> None:
    """Each is enough by itself: the spot is told in both, and the PDF has the picture and room to write."""
    about = ("--picture", "c1_top.jpg", "--spot", "12.5,40", "--question", "What is this?")
    assert typed("ask", folder, "--part", PART, *about, "--by", ENGINEER).code == 0
    assert pack(folder).code == 0
    (mail,) = [body.decode("utf-8") for name, body in carriers(folder).items() if name.endswith(".txt")]
    asked = " ".join(mail.split("(4) What is this?")[1].split("[E]")[0].split())
    assert asked == "About the picture c1_top.jpg, spot 12.5,40 To be answered in words: its number, then your answer"
    ours, before = _paper(folder), _paper(sent)
    assert "About the picture c1_top.jpg, spot 12.5,40" in ours.text and "Your answer" in ours.text
    assert "Your answer" not in before.text
    assert ours.pictures == before.pictures + 1


def test_the_day_of_sending_is_the_shops(folder: Path) -> None:
    """In a time zone in which it isn't the world's day; it is kept with what was shown."""
    now = datetime.now(UTC)
    zone = "Pacific/Kiritimati" if now.hour >= 11 else "Etc/GMT+12"
    head = folder / "catalog.yaml"
    lines = [each for each in head.read_text(encoding="utf-8").splitlines() if not each.startswith("time_zone:")]
    head.write_text("\n".join([*lines, f"time_zone: {zone}", ""]), encoding="utf-8")
    assert pack(folder).code == 0
    day = now.astimezone(ZoneInfo(zone)).date()
    assert day != now.date() and shown_in(folder).time_zone == zone
    (one_file,) = [body.decode("utf-8") for name, body in carriers(folder).items() if name.endswith(".html")]
    assert f"sent on {day.day} {day:%B} {day.year}" in one_file


@dataclass(frozen=True)
class _Paper:
    text: str
    pictures: int


def _paper(folder: Path) -> _Paper:
    """The text of the PDF, and how many pictures its pages hold."""
    (body,) = [body for name, body in carriers(folder).items() if name.endswith(".pdf")]
    pages = PdfReader(BytesIO(body)).pages
    text = " ".join(" ".join(each.extract_text().split()) for each in pages)
    return _Paper(text, sum(len(each.images) for each in pages))


def test_review_two_says_what_changed_and_asks_only_what_is_open(after: Path, tmp_path: Path) -> None:
    """After two of three were answered."""
    code = store_of(after).name[-8:]
    reply = tmp_path / "reply.txt"
    reply.write_text(f"Review {code}\nAnswered by: {MAY_ALL}\n\n1 B\n2 A\n", encoding="utf-8")
    assert typed("receive", after, reply, "--by", ENGINEER).code == 0
    again = pack(after)
    assert again.code == 0, again.err
    reviews = list(opened(after).state.reviews.values())
    assert [each.number for each in reviews] == [1, 2]
    folder = next(path for path in (after / f"parts/{PART}/reviews").glob("T1-*") if path.name[-8:] != code)
    shown = Shown.model_validate_json((folder / "shown.json").read_bytes())
    assert len(shown.asks) == 1 and shown.asks[0].findings == ("7K3H",)
    assert "Review 1 of this trial was sent on" in shown.since[0]
    assert "questions 1 and 2 of review 1 are answered" in shown.since
    assert pack(after).code == 0 and len(opened(after).state.reviews) == 2


def test_what_waits_for_a_reply_is_named_before_it_is_sent_once_more(after: Path, tmp_path: Path) -> None:
    """Evidence that didn't come and a question back; packing ends neither unseen."""
    code = store_of(after).name[-8:]
    reply = tmp_path / "reply.txt"
    reply.write_text(
        f"Review {code}\nAnswered by: {MAY_ALL}\n\n1 E side view, gauge\n2 ? which shot\n3 B\n", encoding="utf-8"
    )
    assert typed("receive", after, reply, "--by", ENGINEER).code == 0
    again = pack(after)
    assert again.code == 0, again.err
    assert "side view, gauge reading is still wanted on `The black speck" in again.err
    assert "`which shot` was asked back and not replied to on `Do you judge" in again.err


@pytest.mark.parametrize(
    ("path", "old", "new", "told"),
    [
        (f"{TRIAL}/trial.yaml", "checked:", "x-checked:", "nobody has marked the trial checked"),
        (f"{TRIAL}/tags/c1_top.jpg.yaml", "100,100 120,100", "101,100 120,100", "was changed since it was asked about"),
        (f"{TRIAL}/tags/c1_gate.jpg.yaml", "seen: yes", "sen: yes", "can't be read"),
    ],
)
def test_what_is_not_fit_to_be_sent_is_refused_and_nothing_is_kept(
    folder: Path, path: str, old: str, new: str, told: str
) -> None:
    """Not checked, changed since it was asked about, a tag that can't be read."""
    change(folder, path, old, new)
    names = events(folder)
    refused = pack(folder)
    assert refused.code == 3 and told in refused.err
    assert events(folder) == names and not (folder / f"parts/{PART}/reviews").exists()


def test_findings_that_nobody_is_asked_about_stop_the_sending(tmp_path: Path) -> None:
    """Each is named with its verdict, and the command that asks."""
    folder = ready_catalogue(tmp_path / "c")
    shutil.rmtree(folder / f"parts/{PART}/log")
    refused = pack(folder)
    assert refused.code == 3
    for told in ("7K3F (does not conform)", "7K3G (undecided)", "7K3H (not judged)", "--proposed"):
        assert told in refused.err
    assert "7K3J" not in refused.err


def test_a_reviewer_who_is_none_gets_nothing(folder: Path) -> None:
    """A name that the customer's record doesn't have."""
    refused = pack(folder, "--to", "S. Tellekamp")
    assert refused.code == 3 and "S. Tellekamp is no reviewer of Vellorin Devices" in refused.err
    assert not (folder / f"parts/{PART}/reviews").exists()


def test_who_gets_it_can_be_named(folder: Path) -> None:
    """And who must answer but gets no mail is told."""
    packed = pack(folder, "--to", MAY_ALL)
    assert packed.code == 0
    (review,) = opened(folder).state.reviews.values()
    assert [each.name for each in review.to] == [MAY_ALL]


def test_on_a_terminal_who_gets_it_is_confirmed_before_anything_is_kept(folder: Path) -> None:
    """With what warns told first; a no leaves nothing, a yes is recorded, and nothing new asks nothing."""
    asked: list[str] = []

    def answering(yes: bool) -> Callable[[str], bool]:
        def answer(question: str) -> bool:
            asked.append(question)
            return yes

        return answer

    with pytest.raises(PortalError, match="nothing was packed"):
        task.pack(opened(folder), TRIAL_NAME, confirm=answering(False))
    assert not (folder / f"parts/{PART}/reviews").exists() and not opened(folder).state.reviews
    (question,) = asked
    assert question.startswith("warning: not judged: 7K3H\n")
    assert f"3 questions is recorded as sent to {MAY_ALL} <" in question and MAY_LITTLE in question
    assert task.pack(opened(folder), TRIAL_NAME, to=[MAY_LITTLE], confirm=answering(True)).is_new
    assert f"sent to {MAY_LITTLE}. Right?" in asked[1] and MAY_ALL not in asked[1].rpartition("recorded as sent")[2]
    assert not task.pack(opened(folder), TRIAL_NAME, to=[MAY_LITTLE], confirm=answering(True)).is_new
    assert len(asked) == 2


def test_another_customers_name_stops_it_before_anything_is_kept(folder: Path) -> None:
    """Written into a note that the review would show."""
    other = (folder / "customers/vellorin.yaml").read_text(encoding="utf-8").replace("Vellorin Devices", "Ommerwick")
    (folder / "customers/ommerwick.yaml").write_text(other.replace("R. Reviewer", "S. Tellekamp"), encoding="utf-8")
    old = "    by: first-inspector\n    at: 2026-02-12T10:30"
    change(folder, f"{TRIAL}/tags/c1_top.jpg.yaml", old, f"    note: as seen at Ommerwick\n{old}")
    refused = pack(folder)
    assert refused.code == 3 and "another customer" in refused.err and "shown.json" in refused.err
    assert not (folder / f"parts/{PART}/reviews").exists()
