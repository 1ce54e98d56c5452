"""What a picture without a tag probably shows: by the shop's pattern of file names, else as the picture before it."""

import re
from collections.abc import Iterator, Mapping, Sequence

from portal.bench.bodies import Place
from portal.bench.index import Spot
from portal.model.mould import Status
from portal.model.picture import Picture
from portal.model.scope import Scope
from portal.model.tag import Tag

_TAKEN_WITH = ("scope", "setting", "made")
_FIELDS = {"cavity": r"[^_\W]+", "shot": r"[0-9]{1,9}", "view": r"[\w.-]+?", "piece": r"[\w.-]+?"}


def proposed(
    spot: Spot, pattern: str | None, *, scopes: Mapping[str, Scope] | None = None, camera: str | None = None
) -> dict[str, str]:
    """The place of a picture as it is proposed, empty where nothing speaks for it.

    The file's name counts before the picture before it, and that before what there is only one of. A view is taken
    with the setting of the picture before it of the same view. A setting is one of the camera's own where its file
    says which camera it was.
    """
    place = dict.fromkeys(Place.model_fields, "") | _only(spot)
    place |= _given(_before(spot), ("cavity", "shot", "view", *_TAKEN_WITH))
    place |= _from_name(spot, pattern)
    place |= _given(_before(spot, view=place["view"]), _TAKEN_WITH)
    place |= _by_camera(place, scopes or {}, camera)
    return place | {"piece": _piece(spot, place)}


def _only(spot: Spot) -> dict[str, str]:
    """Shot and cavity where the trial has one only, and the view where the part of that cavity has."""
    found = {}
    running = [mark for mark, each in spot.mould.cavities.items() if each.status is Status.RUNNING]
    if len(spot.trial.shots.kept) == 1:
        found["shot"] = str(spot.trial.shots.kept[0])
    if len(running) == 1:
        found["cavity"] = running[0]
    if spot.part is not None and len(spot.part.views) == 1:
        found["view"] = next(iter(spot.part.views))
    return found


def _by_camera(place: dict[str, str], scopes: Mapping[str, Scope], camera: str | None) -> dict[str, str]:
    """The setting of the camera that took it, where the proposed one has another camera or there is none."""
    fitting = [
        (name, setting)
        for name, scope in scopes.items()
        for setting, each in scope.settings.items()
        if camera and _same(each.optics.camera, camera)
    ]
    if not fitting or (place["scope"], place["setting"]) in fitting:
        return {}
    of_scopes = {name for name, _ in fitting}
    scope = of_scopes.pop() if len(of_scopes) == 1 else ""
    return {"scope": scope, "setting": fitting[0][1] if len(fitting) == 1 else ""}


def _same(named: str, camera: str) -> bool:
    """Whether a person's name of a camera is how it calls itself, perhaps with its maker before."""
    one, other = " ".join(named.split()).casefold(), camera.casefold()
    return one == other or one.endswith(f" {other}") or other.endswith(f" {one}")


def _piece(spot: Spot, place: dict[str, str]) -> str:
    """The piece that the name says, else the only one of that cavity and shot."""
    fitting = [
        each.id for each in spot.trial.pieces if each.cavity == place["cavity"] and str(each.shot) == place["shot"]
    ]
    if place["piece"] in fitting:
        return place["piece"]
    return fitting[0] if len(fitting) == 1 else ""


def _before(spot: Spot, *, view: str | None = None) -> Tag | None:
    """What the last tagged picture before this one shows, else the last of all; of that view where one is given."""

    def tags(pictures: Sequence[Picture]) -> list[Tag]:
        return [each.tag for each in pictures if each.tag is not None and view in (None, each.tag.view)]

    names = [each.file for each in spot.trial.pictures]
    found = tags(spot.trial.pictures[: names.index(spot.picture.file)]) or tags(spot.trial.pictures)
    return found[-1] if found else None


def _given(tag: Tag | None, names: Sequence[str]) -> dict[str, str]:
    """What is written there of these."""
    given = tag.written() if tag else {}
    return {name: str(given[name]) for name in names if given.get(name)}


def _from_name(spot: Spot, pattern: str | None) -> dict[str, str]:
    """What the file's name says by the pattern, as far as it is something that the mould and its part have."""
    match = re.fullmatch(_expression(pattern, spot), spot.picture.name.rpartition(".")[0]) if pattern else None
    if match is None:
        return {}
    found = match.groupdict()
    piece = next((each for each in spot.trial.pieces if each.id == found.get("piece")), None)
    if piece is not None:
        found = {"cavity": piece.cavity, "shot": str(piece.shot)} | found
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
