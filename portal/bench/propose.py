"""What a picture without a tag probably shows: by the shop's pattern of file names, else as the picture before it."""

import re
from collections.abc import Iterator

from portal.bench.bodies import Place
from portal.bench.index import Spot
from portal.model.picture import Picture

_FIELDS = {"cavity": r"[^_\W]+", "shot": r"[0-9]{1,9}", "view": r"[\w.-]+?", "piece": r"[\w.-]+?"}


def proposed(spot: Spot, pattern: str | None) -> dict[str, str]:
    """The place of a picture as it is proposed, empty where nothing speaks for it."""
    place = dict.fromkeys(Place.model_fields, "")
    before = _before(spot)
    if before is not None and before.tag is not None:
        given = before.tag.written()
        place |= {name: str(given.get(name, "")) for name in ("scope", "setting", "made", "cavity", "shot", "view")}
    place |= _from_name(spot, pattern)
    pieces = [
        each.id for each in spot.trial.pieces if each.cavity == place["cavity"] and str(each.shot) == place["shot"]
    ]
    return place | {"piece": pieces[0] if len(pieces) == 1 else ""}


def _before(spot: Spot) -> Picture | None:
    """The last tagged picture before this one, else the last of all."""
    names = [each.file for each in spot.trial.pictures]
    place = names.index(spot.picture.file)
    tagged = [each for each in spot.trial.pictures[:place] if each.tag is not None]
    every = tagged or [each for each in spot.trial.pictures if each.tag is not None]
    return every[-1] if every else None


def _from_name(spot: Spot, pattern: str | None) -> dict[str, str]:
    """What the file's name says by the pattern, as far as it is something that the mould and its part have."""
    match = re.fullmatch(_expression(pattern, spot), spot.picture.name.rpartition(".")[0]) if pattern else None
    if match is None:
        return {}
    found = match.groupdict()
    if found.get("shot"):
        found["shot"] = str(int(found["shot"]))
    return {name: value for name, value in found.items() if _is_known(name, value, spot)}


def _expression(pattern: str, spot: Spot) -> str:
    """The pattern as a regular expression; a field of another name stands for anything."""
    return "".join(_steps(pattern, spot, set()))


def _steps(pattern: str, spot: Spot, named: set[str]) -> Iterator[str]:
    fixed = {"mould": re.escape(spot.mould.id), "trial": re.escape(spot.trial.id)}
    for step in re.split(r"(\{\w+\})", pattern):
        name = step[1:-1]
        if not step.startswith("{"):
            yield re.escape(step)
        elif name in fixed:
            yield fixed[name]
        elif name in _FIELDS and name not in named:
            named.add(name)
            yield f"(?P<{name}>{_FIELDS[name]})"
        else:
            yield r"[^_]*?"


def _is_known(name: str, value: str, spot: Spot) -> bool:
    if name == "cavity":
        return value in spot.mould.cavities
    if name == "view" and spot.part is not None:
        return value in spot.part.views
    return bool(value)
