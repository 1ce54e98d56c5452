"""`Looked at, nothing seen`: one file for each cavity, view and shot, so that two benches never meet."""

from pathlib import Path
from typing import Any

from portal.bench.bodies import NothingSeen
from portal.bench.drawing import now
from portal.bench.refused import Refused, unwritable
from portal.bench.state import Bench
from portal.catalog.alone import held, record_of
from portal.catalog.change import changed, written
from portal.catalog.write import write_whole
from portal.model.mould import Looked, Mould, Status, Trial
from portal.model.part import Part
from portal.model.slug import slug


def nothing_seen(bench: Bench, asked: NothingSeen) -> str:
    """Write that nothing was seen there; gives the file's name. The first word stands where somebody said it before."""
    mould, trial = bench.index.trial(asked.trial)
    part = _part(bench, mould, asked)
    if asked.by not in bench.catalogue.shop.people:
        raise Refused("refused.person", name=asked.by)
    if asked.condition not in conditions_of(bench, part, trial):
        raise Refused("refused.condition", name=asked.condition)
    name = f"{slug(asked.cavity)}-{slug(asked.view)}-{int(asked.shot)}.yaml"
    file = f"moulds/{mould.id}/trials/{trial.id}/looked/{name}"
    path = bench.folder / file
    with held(path):
        if not path.exists():
            _write(bench, path, file, asked)
    bench.refresh(mould.id, trial.id)
    return name


def conditions_of(bench: Bench, part: Part, trial: Trial) -> tuple[str, ...]:
    """The names of the conditions of the part's standards in force, the one of most criteria first."""
    counted: dict[str, int] = {}
    for standard in part.standards:
        known = bench.catalogue.standards.get(standard, {}).get(trial.standards.get(standard, ""))
        for name in known.conditions if known else ():
            counted[name] = sum(1 for each in known.criteria if each.condition == name) if known else 0
    return tuple(sorted(counted, key=lambda name: -counted[name]))


def _part(bench: Bench, mould: Mould, asked: NothingSeen) -> Part:
    cavity = mould.cavities.get(asked.cavity)
    part = bench.catalogue.parts.get(cavity.part) if cavity and cavity.status is Status.RUNNING else None
    if part is None:
        raise Refused("refused.cavity", cavity=asked.cavity, mould=mould.id)
    if asked.view not in part.views:
        raise Refused("refused.view", view=asked.view, part=part.id)
    return part


def _write(bench: Bench, path: Path, file: str, asked: NothingSeen) -> None:
    trial = bench.index.trial(asked.trial)[1]
    shot = int(asked.shot)
    pieces = [each.id for each in trial.pieces if (each.cavity, each.shot) == (asked.cavity, shot)]
    data: dict[str, Any] = {"cavity": asked.cavity, "view": asked.view, "shot": shot}
    data |= {"piece": pieces[0]} if len(pieces) == 1 else {}
    data |= {"condition": asked.condition, "by": asked.by, "at": now(bench.catalogue.shop.time_zone)}
    text = changed("format: 1\n", lambda top: top.update(written(data)))
    made = record_of(bench.folder, Looked, file, text)
    if isinstance(made, tuple):
        raise unwritable(made)
    write_whole(path, text.encode("utf-8"))
