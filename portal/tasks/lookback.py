"""What `portal check` lists once a check or a calibration disagrees: what was measured since, and who was shown it."""

from collections.abc import Collection, Iterator
from datetime import date
from pathlib import Path

from portal.assess import Doubt, doubts, measured_since
from portal.model.event import check_code
from portal.model.scalars import Moment
from portal.model.shown import Shown, ShownFinding
from portal.problem import PortalError, Problem
from portal.tasks.gather import Gathered
from portal.tasks.packing.shelf import SHOWN, read_store


def look_back(gathered: Gathered) -> Iterator[Problem]:
    """Each finding and each review once for every disagreement that nobody has gone through yet."""
    open_doubts = [each for each in doubts(gathered.catalogue, gathered.facts) if each.looked_back is None]
    if not open_doubts:
        return
    reviews, unread = _kept_reviews(gathered.folder)
    yield from unread
    for doubt in open_doubts:
        yield from _of_doubt(gathered, doubt, reviews)


def _of_doubt(gathered: Gathered, doubt: Doubt, reviews: dict[Path, Shown]) -> Iterator[Problem]:
    places = gathered.reading.places
    line = places.line(doubt.scope.file, ("settings", doubt.setting, *doubt.field))
    where = f"{doubt.scope.file}:{line}"
    what = "check" if doubt.field[0] == "checks" else "calibration"
    why = f"by {doubt.scope.id}, {doubt.setting}, which was last known to be right on {doubt.since}"
    hint = f"the {what} of {doubt.until} in {where} disagrees; once all is looked at, write `looked_back` there"
    mine: dict[str, set[str]] = {}
    assessments = [each for result in gathered.results for each in result.assessments]
    for each in measured_since(doubt, assessments, gathered.catalogue, gathered.facts):
        mine.setdefault(each.part or "", set()).add(each.finding)
        file, at = _written(gathered, each.picture, each.finding)
        yield Problem(file, at, "", f"{each.finding} was measured {why}", hint, warning=True)
    known = {(each.part, each.finding) for each in assessments}
    for path, shown in reviews.items():
        gone = {each.id for each in shown.findings if (shown.part.id, each.id) not in known}
        ids = [each.id for each in shown.findings if _rests_on(each, doubt, mine.get(shown.part.id, set()), gone)]
        if ids:
            code = check_code(path.parent.name.rpartition("-")[2])
            said = f"review {code} of {shown.trial} showed {', '.join(ids)}, measured {why}"
            yield Problem(path.as_posix(), 0, "", said, hint, warning=True)


def _rests_on(finding: ShownFinding, doubt: Doubt, doubtful: Collection[str], gone: Collection[str]) -> bool:
    """Whether a review showed a finding by that calibration; one that is gone counts by the day it was written."""
    if not any(each.get("id") == doubt.calibration for each in finding.rests_on.get("calibrations", [])):
        return False
    return finding.id in doubtful or (finding.id in gone and doubt.since <= _day(finding) <= doubt.until)


def _day(finding: ShownFinding) -> date:
    return Moment(finding.rests_on["finding"]["at"]).day


def _written(gathered: Gathered, picture: str, finding: str) -> tuple[str, int]:
    """File and line of a finding."""
    tag = next(each.picture.tag for each in gathered.catalogue.findings() if each.picture.file == picture)
    if tag is None:
        return picture, 0
    number = next(number for number, each in enumerate(tag.findings) if each.id == finding)
    return tag.file, gathered.reading.places.line(tag.file, ("findings", str(number), "id"))


def _kept_reviews(folder: Path) -> tuple[dict[Path, Shown], list[Problem]]:
    """Every review that was sent, by its file within the catalogue; and those that can't be read."""
    found, unread = {}, []
    for path in sorted(folder.glob(f"parts/*/reviews/*/{SHOWN}")):
        name = path.relative_to(folder)
        try:
            found[name] = read_store(path.parent)
        except PortalError as error:
            said = f"can't be looked through: {error}"
            unread.append(Problem(name.as_posix(), 0, "", said, error.hint, warning=True))
    return found, unread
