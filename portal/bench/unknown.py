"""What a tag would name that the catalogue lacks: refused where it is written, in the words of `portal check`."""

from portal.bench.index import Spot
from portal.bench.refused import unwritable
from portal.bench.state import Bench
from portal.catalog.alone import unknown_in
from portal.model.tag import Tag
from portal.problem import Problem


def refuse_unknown(bench: Bench, spot: Spot, made: Tag, *, before: Tag | None, id_: str) -> None:
    """Nothing is added that the catalogue doesn't have: what a tag comes to, and what it was; `id_` is the finding's.

    What stood there before is left to `portal check`, and so is what becomes wrong in another finding, since who puts
    a cavity right can't be held up by it; and a shot, which a file's name may say before somebody writes that it was
    kept.
    """
    known = {_plainly(each, before) for each in _unknown(bench, spot, before)} if before else set()
    found = [each for each in _unknown(bench, spot, made) if _plainly(each, made) not in known]
    own = [each for each in found if each.field != "shot" and _finding_of(each, made) in ("", id_)]
    if own:
        raise unwritable(tuple(own))


def _unknown(bench: Bench, spot: Spot, tag: Tag) -> tuple[Problem, ...]:
    return unknown_in(bench.folder, bench.catalogue, spot.mould.id, spot.trial, tag)


def _plainly(problem: Problem, tag: Tag) -> tuple[str, str, str]:
    """A problem by the finding that it is about, wherever this one stands in the file."""
    return (_finding_of(problem, tag), problem.field.rpartition(".")[2], problem.message)


def _finding_of(problem: Problem, tag: Tag) -> str:
    """The id of the finding in which it is; empty where it is in none."""
    key, _, rest = problem.field.partition(".")
    number = int(rest.partition(".")[0]) if key in ("findings", "also") else None
    if number is None:
        return ""
    return tag.findings[number].id if key == "findings" else tag.also[number].finding
