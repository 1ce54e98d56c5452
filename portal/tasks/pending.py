"""What `portal check` lists as work: what wasn't looked at, blocks sending, lies aside, is to be entered."""

from collections.abc import Iterator

from portal.model.logstate import Owing
from portal.model.result import TrialResult
from portal.tasks.gather import Gathered
from portal.tasks.kept import aside
from portal.tasks.owing import who_owes
from portal.tasks.recorded import Recorded


def pending(gathered: Gathered, record: Recorded) -> Iterator[str]:
    """Each thing that somebody still has to do, as a sentence."""
    for result in gathered.results:
        yield from _not_looked_at(result)
        yield from _not_checked(gathered, result)
    yield from (f"{file}: an answer lies aside: {why}" for file, why in aside(gathered.folder))
    for part, state in record.logs.items():
        for each in state.owed:
            if each.what is Owing.CRITERION:
                text = f": {each.text}" if each.text else ""
                yield f"{part}: {who_owes(each)} has to enter a limit that was agreed as a criterion{text}"


def _not_looked_at(result: TrialResult) -> Iterator[str]:
    for frame in result.sheet:
        if frame.missing:
            yield (
                f"{_where(result)}: cavity {frame.cavity}, view {frame.view}: "
                f"{frame.missing} of {frame.required} not looked at"
                + (" (a picture is required)" if frame.reason == "picture" else "")
            )


def _not_checked(gathered: Gathered, result: TrialResult) -> Iterator[str]:
    """A trial that was looked at and that nobody has marked checked: a review of it can't be sent."""
    trial = gathered.catalogue.moulds[result.mould].trials[result.trial]
    if trial.checked is None and result.assessments:
        yield f"{_where(result)}: nobody has marked it checked, so that no review of it can be sent"


def _where(result: TrialResult) -> str:
    return f"{result.part.id}, {result.mould} {result.trial}"
