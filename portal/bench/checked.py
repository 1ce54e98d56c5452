"""Somebody marks a trial checked, before anything of it is sent."""

from ruamel.yaml.comments import CommentedMap

from portal.bench.bodies import MarkChecked
from portal.bench.drawing import now
from portal.bench.refused import Refused, unwritable
from portal.bench.state import Bench
from portal.catalog.alone import held, record_of
from portal.catalog.change import changed, written
from portal.catalog.write import write_whole
from portal.model.mould import Trial


def mark_checked(bench: Bench, asked: MarkChecked) -> None:
    """Write who checked the trial, and when; an earlier mark is replaced."""
    mould, trial = bench.index.trial(asked.trial)
    if asked.by not in bench.catalogue.shop.people:
        raise Refused("refused.person", name=asked.by)
    path = bench.folder / trial.file
    mark = written({"by": asked.by, "at": now(bench.catalogue.shop.time_zone)})
    mark.fa.set_flow_style()

    def change(data: CommentedMap) -> None:
        data["checked"] = mark

    with held(path):
        text = changed(path.read_bytes().decode("utf-8"), change)
        made = record_of(bench.folder, Trial, trial.file, text, id=trial.id, mould=mould.id)
        if isinstance(made, tuple):
            raise unwritable(made)
        write_whole(path, text.encode("utf-8"))
    bench.reread()
    bench.refresh(mould.id, trial.id)
