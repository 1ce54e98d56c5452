"""`portal findings`: one row per finding and characteristic."""

import json
from collections.abc import Iterator
from dataclasses import asdict, astuple, dataclass
from pathlib import Path

from portal.model import show
from portal.model.catalogue import Found
from portal.model.result import Assessment, Held, Measurement, TrialResult, Unmeasured
from portal.problem import Problem
from portal.site.words import Speaker
from portal.tasks import table
from portal.tasks.check import problems_of
from portal.tasks.gather import gather


@dataclass(frozen=True)
class Row:
    """A finding with one of its characteristics; `verdict` is the finding's. Lengths in `unit`."""

    id: str
    part: str
    mould: str
    trial: str
    cavity: str
    piece: str
    defect: str
    zone: str
    characteristic: str
    value: str
    expanded_uncertainty: str
    unit: str
    limit: str
    verdict: str
    reason: str
    probability: str
    criterion: str
    picture: str


@dataclass(frozen=True)
class Findings:
    """The rows, and what was wrong in the files."""

    rows: tuple[Row, ...]
    problems: tuple[Problem, ...]

    @property
    def exit_code(self) -> int:
        """1 where a file is wrong."""
        return 1 if any(not problem.warning for problem in self.problems) else 0


def findings(folder: Path, *, processes: int = 1) -> Findings:
    """Every finding of a catalogue, measured and judged."""
    gathered = gather(folder, processes=processes)
    speaker = Speaker("en", "mm", lambda defect: gathered.catalogue.term(defect, "en"))
    written = {(found.picture.file, found.finding.id): found for found in gathered.catalogue.findings()}
    rows = tuple(
        row
        for result in gathered.results
        for each in result.assessments
        for row in _rows(written[each.picture, each.finding], result, each, speaker)
    )
    return Findings(rows, problems_of(gathered))


def to_json(rows: tuple[Row, ...]) -> str:
    """A JSON list of rows; what isn't there is an empty text."""
    return json.dumps([asdict(row) for row in rows], ensure_ascii=False, indent=1)


def to_csv(rows: tuple[Row, ...]) -> bytes:
    """A CSV file of rows."""
    columns = tuple(Row.__dataclass_fields__)
    return table.to_csv(
        table.Table(columns, tuple(astuple(row) for row in rows)),
        numbers={"value", "expanded_uncertainty", "probability"},
    )


def _rows(found: Found, result: TrialResult, assessed: Assessment, speaker: Speaker) -> Iterator[Row]:
    base = {
        "id": assessed.finding,
        "part": result.part.id,
        "mould": assessed.mould,
        "trial": assessed.trial,
        "cavity": assessed.cavity or "",
        "piece": (found.picture.tag.piece if found.picture.tag else None) or "",
        "defect": found.finding.defect,
        "zone": found.finding.zone,
        "verdict": str(assessed.verdict.word),
        "reason": speaker.say(assessed.verdict.reason or assessed.verdict.sentence),
        "criterion": assessed.applied.criterion.id if assessed.applied else "",
        "picture": assessed.picture,
    }
    if not assessed.readings:
        yield Row(**base, **_nothing_measured())
    for reading in assessed.readings:
        if isinstance(reading, Unmeasured):
            yield Row(**base, **{**_nothing_measured(), "characteristic": str(reading.characteristic)})
        else:
            yield Row(**base, **_measured(reading, assessed.held))


def _nothing_measured() -> dict[str, str]:
    names = ("characteristic", "value", "expanded_uncertainty", "unit", "limit", "probability")
    return dict.fromkeys(names, "")


def _measured(measurement: Measurement, held: tuple[Held, ...]) -> dict[str, str]:
    against = [each for each in held if each.measurement is measurement]
    unit = "mm"
    expanded = show.in_unit(measurement.expanded, unit, power=measurement.power)
    decimals = show.decimals_for(expanded) + 1
    return {
        "characteristic": str(measurement.characteristic),
        "value": _plain(show.in_unit(measurement.value, unit, power=measurement.power), decimals),
        "expanded_uncertainty": _plain(expanded, decimals),
        "unit": show.unit_text(unit, power=measurement.power),
        "limit": "; ".join(_limit(each) for each in against),
        "probability": f"{against[0].probability:.4f}" if against and against[0].probability is not None else "",
    }


def _plain(value: float, decimals: int) -> str:
    return show.fixed(value, decimals).replace(show.MINUS, "-")


def _limit(held: Held) -> str:
    ends = (("min", held.limit.min), ("max", held.limit.max))
    return " ".join(f"{name} {length.text}" for name, length in ends if length)
