"""What `portal check` lists as work: what wasn't looked at, blocks sending, lies aside, is to be entered."""

from collections.abc import Iterator

from portal.assess.placed import Placed, every_placed
from portal.model.logstate import Owing
from portal.tasks.gather import Surveyed
from portal.tasks.kept import aside
from portal.tasks.owing import who_owes
from portal.tasks.recorded import Recorded


def pending(gathered: Surveyed, record: Recorded) -> Iterator[str]:
    """Each thing that somebody still has to do, as a sentence."""
    for here in every_placed(gathered.catalogue, gathered.facts):
        yield from _not_looked_at(here)
        yield from _not_checked(here)
    yield from (f"{file}: an answer lies aside: {why}" for file, why in aside(gathered.folder))
    for part, state in record.logs.items():
        for each in state.owed:
            if each.what is Owing.CRITERION:
                text = f": {each.text}" if each.text else ""
                name = f" [{each.duty.place}]" if each.duty else ""
                yield f"{part}: {who_owes(each)} has to enter a limit that was agreed as a criterion{text}{name}"


def _not_looked_at(here: Placed) -> Iterator[str]:
    for frame in here.sheet:
        if frame.missing:
            yield (
                f"{_where(here)}: cavity {frame.cavity}, view {frame.view}: "
                f"{frame.missing} of {frame.required} not looked at"
                + (" (a picture is required)" if frame.reason == "picture" else "")
            )


def _not_checked(here: Placed) -> Iterator[str]:
    """A trial that was looked at and that nobody has marked checked: a review of it can't be sent."""
    if here.trial.checked is None and here.found:
        yield f"{_where(here)}: nobody has marked it checked, so that no review of it can be sent"


def _where(here: Placed) -> str:
    return f"{here.part.id}, {here.mould.id} {here.trial.id}"
