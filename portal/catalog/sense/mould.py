"""Moulds and trials: what each alone can get wrong."""

from portal.catalog.sense.remark import Remark, Remarks, each_once
from portal.model.mould import Mould, Status, Trial
from portal.model.slug import same_name


def of_mould(mould: Mould) -> Remarks:
    """Cavities: at least one, told apart, blocked with a reason."""
    if not mould.cavities:
        yield Remark(("cavities",), "at least one cavity is needed")
    first: dict[str, str] = {}
    for mark, cavity in mould.cavities.items():
        if cavity.status is Status.BLOCKED and cavity.reason is None:
            yield Remark(("cavities", mark, "reason"), "a blocked cavity needs its `reason`")
        other = first.setdefault(same_name(mark), mark)
        if other != mark:
            message = f"`{mark}` and `{other}` differ only by capitals; page names can't tell them apart"
            yield Remark(("cavities", mark), message)


def of_trial(trial: Trial) -> Remarks:
    """Shots and pieces."""
    shots = trial.shots
    yield from each_once(("shots", "kept"), map(str, shots.kept), "shot")
    if shots.required < 1:
        yield Remark(("shots", "required"), "at least 1 shot is required")
    elif shots.required > len(shots.kept):
        message = f"{shots.required} shots are required and {len(shots.kept)} kept; no cavity can be covered"
        yield Remark(("shots", "required"), message)
    if trial.hours_to_inspection is not None and trial.hours_to_inspection < 0:
        yield Remark(("hours_to_inspection",), "hours can't be negative")
    yield from each_once(("pieces",), (piece.id for piece in trial.pieces), "piece", key="id")
