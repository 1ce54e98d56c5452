"""What changed since the last review of the same trial."""

from collections.abc import Iterator

from portal.model.clock import day_in, zone_of
from portal.model.logstate import AskStatus, ReviewState
from portal.model.say import Say, Several
from portal.model.shown import Shown
from portal.problem import PortalError
from portal.site.marks import word_key
from portal.tasks.opened import Opened
from portal.tasks.packing.freeze import Freezer
from portal.tasks.packing.readstore import read_store


def since(opened: Opened, last: ReviewState | None, freezer: Freezer) -> tuple[Say, ...]:
    """Sentences about what is new, changed, decided or gone since that review; nothing where there was none."""
    if last is None:
        return ()
    found = sorted((opened.gathered.folder / "parts" / opened.part.id / "reviews").glob(f"*-{last.code}"))
    try:
        then = read_store(found[0]) if found else None
    except PortalError:
        then = None
    day = day_in(last.sent_at, zone_of(opened.gathered.catalogue.shop.time_zone))
    told = Say.of("since.review", number=last.number, day=day)
    return (told,) if then is None else (told, *_changes(opened, then, freezer, last))


def _changes(opened: Opened, then: Shown, freezer: Freezer, last: ReviewState) -> Iterator[Say]:
    before = {each.id: each for each in then.findings}
    now = {each.finding: each for each in freezer.result.assessments}
    fresh = tuple(sorted(now.keys() - before.keys()))
    if fresh:
        yield Say.of("since.new", n=len(fresh), findings=Several(fresh))
    for finding in sorted(now.keys() & before.keys()):
        if opened.bases.get(finding) == before[finding].basis:
            continue
        old, new = before[finding].said.word, now[finding].verdict.word
        if old is new:
            yield Say.of("since.changed", finding=finding)
        else:
            yield Say.of(
                "since.verdict",
                finding=finding,
                old=Say.of(f"word.{word_key(old)}"),
                new=Say.of(f"word.{word_key(new)}"),
            )
    gone = tuple(sorted(before.keys() - now.keys()))
    if gone:
        yield Say.of("since.gone", n=len(gone), findings=Several(gone))
    yield from _answered(opened, last)


def _answered(opened: Opened, last: ReviewState) -> Iterator[Say]:
    done = [
        number
        for number, ask in zip(last.numbers, last.asks, strict=True)
        if ask in opened.state.asks and opened.state.asks[ask].status in {AskStatus.ANSWERED, AskStatus.CLOSED}
    ]
    if done:
        yield Say.of(
            "since.answered", n=len(done), numbers=Several(tuple(str(each) for each in done)), number=last.number
        )
