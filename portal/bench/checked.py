"""Somebody marks a trial checked, before anything of it is sent."""

from ruamel.yaml.comments import CommentedMap

from portal.bench.bodies import MarkChecked
from portal.bench.drawing import now
from portal.bench.refused import Refused, unwritable
from portal.bench.state import Bench
from portal.bench.targets import digest_of
from portal.catalog.alone import held, record_of
from portal.catalog.change import changed, written
from portal.catalog.write import write_whole
from portal.model.mould import Trial


def mark_of(trial: Trial) -> str:
    """The digest of the mark by which a page says which one it was given; empty where there is none."""
    return digest_of(trial.checked.written()) if trial.checked else ""


def mark_checked(bench: Bench, asked: MarkChecked) -> None:
    """Write who checked the trial, and when, over the mark that the page was given.

    Another one that stands there by now stays: the page sent it before and never heard of it, or somebody else was
    first.
    """
    mould, trial = bench.index.trial(asked.trial)
    if asked.by not in bench.catalogue.shop.people:
        raise Refused("refused.person", name=asked.by)
    path = bench.folder / trial.file
    with held(path):
        text = path.read_bytes().decode("utf-8")
        if mark_of(_trial_of(bench, trial, text)) == asked.seen:
            marked = changed(text, lambda data: _mark(data, asked.by, now(bench.catalogue.shop.time_zone)))
            _trial_of(bench, trial, marked)
            write_whole(path, marked.encode("utf-8"))
    bench.reread()
    bench.refresh(mould.id, trial.id)


def _trial_of(bench: Bench, trial: Trial, text: str) -> Trial:
    """The trial's record as that text has it; refused with what is wrong with it."""
    made = record_of(bench.folder, Trial, trial.file, text, id=trial.id, mould=trial.mould)
    if isinstance(made, tuple):
        raise unwritable(made)
    return made


def _mark(data: CommentedMap, by: str, at: str) -> None:
    mark = written({"by": by, "at": at})
    mark.fa.set_flow_style()
    data["checked"] = mark
