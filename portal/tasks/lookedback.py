"""Writes that somebody looked back: at one finding, or at all that a check or a calibration put in doubt."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from ruamel.yaml.comments import CommentedMap, CommentedSeq

from portal.catalog.alone import held, record_of
from portal.catalog.change import changed, written
from portal.catalog.write import write_whole
from portal.model.catalogue import Catalogue
from portal.model.scope import Calibration, ScaleCheck, Scope
from portal.problem import PortalError
from portal.tasks.acting import party
from portal.tasks.calibrate import setting_of

Kind = Literal["checks", "calibrations"]


@dataclass(frozen=True, slots=True)
class Where:
    """The check or the calibration that disagrees: which of its setting's, and what it is called."""

    scope: str
    setting: str
    kind: Kind
    number: int
    name: str
    """Of a check its time, of a calibration its id: so that another one is never taken for it."""


def named(each: Calibration | ScaleCheck) -> str:
    """What one is called."""
    return each.id if isinstance(each, Calibration) else each.at.text


def look_again(folder: Path, catalogue: Catalogue, where: Where, said: dict[str, str]) -> None:
    """Write what somebody says of one finding; what was said of it before goes."""

    def change(own: CommentedMap) -> None:
        known = own.get("looked_again")
        kept = [each for each in known or () if not _is_same(each, said)]
        entry = written(said)
        entry.fa.set_flow_style()
        own["looked_again"] = CommentedSeq([*kept, entry])

    _write(folder, catalogue, where, said["by"], change)


def look_back(folder: Path, catalogue: Catalogue, where: Where, said: dict[str, str]) -> None:
    """Write that all was gone through; refused where somebody wrote so before."""

    def change(own: CommentedMap) -> None:
        if own.get("looked_back"):
            raise PortalError("somebody wrote meanwhile that all was gone through")
        own["looked_back"] = written(said)
        own["looked_back"].fa.set_flow_style()

    _write(folder, catalogue, where, said["by"], change)


def _is_same(each: CommentedMap, said: dict[str, str]) -> bool:
    return all(str(each.get(name)) == said[name] for name in ("part", "finding"))


def _write(folder: Path, catalogue: Catalogue, where: Where, by: str, change: Callable[[CommentedMap], None]) -> None:
    scope, _ = setting_of(catalogue, where.scope, where.setting)
    party(catalogue.shop, by, to="look back", engineer=False)
    path = folder / scope.file
    with held(path):
        text = path.read_bytes().decode("utf-8")
        _refuse_another(_read(folder, scope, text), where)
        after = changed(text, lambda data: change(data["settings"][where.setting][where.kind][where.number]))
        _read(folder, scope, after)
        write_whole(path, after.encode("utf-8"))


def _refuse_another(scope: Scope, where: Where) -> None:
    setting = scope.settings.get(where.setting)
    known = (setting.checks if where.kind == "checks" else setting.calibrations) if setting else ()
    if where.number >= len(known) or named(known[where.number]) != where.name:
        raise PortalError(f"{scope.file} was changed meanwhile", hint="open the page of scales again")


def _read(folder: Path, scope: Scope, text: str) -> Scope:
    made = record_of(folder, Scope, scope.file, text, id=scope.id)
    if isinstance(made, tuple):
        raise PortalError("; ".join(f"{each.field}: {each.message}" for each in made), problems=made)
    return made
