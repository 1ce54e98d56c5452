"""Looking back on the bench: what a failed check or a new calibration put in doubt, marked finding by finding."""

from dataclasses import dataclass

from portal.assess.lookback import Doubt
from portal.bench.bodies import LookAgain
from portal.bench.bodies import LookBack as Done
from portal.bench.drawing import now
from portal.bench.index import key_of, trial_key
from portal.bench.micrometers import moment
from portal.bench.state import Bench
from portal.model.say import Say
from portal.model.scope import LookedAgain
from portal.problem import PortalError
from portal.site.typeset import typeset
from portal.site.words import Speaker
from portal.tasks import lookedback
from portal.tasks.gather import held
from portal.tasks.lookback import LookBack, Seen, in_doubt, open_doubts, told_of, written_in

_SAID = {"same": "scale.again_same", "changed": "scale.again_changed"}


@dataclass(frozen=True, slots=True)
class Row:
    """A finding of the list, with where it can be opened."""

    finding: str
    part: str
    term: str
    file: str
    trial: str
    picture: str
    said: str
    is_left: bool


@dataclass(frozen=True, slots=True)
class Told:
    """A disagreement with its rows, and by what it is written."""

    back: LookBack
    kind: str
    place: str
    name: str
    rows: tuple[Row, ...]

    @property
    def left(self) -> int:
        """How many are still to be looked at."""
        return sum(1 for each in self.rows if each.is_left)


def look_backs_of(bench: Bench, speaker: Speaker) -> dict[str, object]:
    """Every list that isn't done, as markup; empty where nothing is in doubt."""
    told = [_told(bench, each, speaker) for each in _backs(bench)]
    markup = [typeset("benchlookback", speaker, here="", told=each).decode("utf-8") for each in told]
    return {"html": "".join(markup)}


def look_again(bench: Bench, asked: LookAgain, speaker: Speaker) -> dict[str, object]:
    """Write what somebody says of one finding; what the row says by now."""
    said = {"part": asked.part, "finding": asked.finding, "result": asked.result, **_by(bench, asked)}
    lookedback.look_again(bench.folder, bench.catalogue, _where(asked), said)
    bench.reread()
    doubt = next((each for each in open_doubts(bench.catalogue, bench.facts) if _is(each, asked)), None)
    again = doubt.again(asked.part, asked.finding) if doubt else None
    # One that is found changed is done with only once it is measured anew or withdrawn.
    return {"said": _said(bench, again, speaker), "left": asked.result == "changed"}


def look_back(bench: Bench, asked: Done, speaker: Speaker) -> dict[str, object]:
    """Write that all was gone through; refused as long as findings are left. Gives the lists that are still open."""
    for each in _backs(bench):
        if _is(each.doubt, asked) and each.left:
            left = ", ".join(one.finding for one in each.left)
            raise PortalError(speaker.text("scale.still_left", n=len(each.left), findings=left))
    lookedback.look_back(bench.folder, bench.catalogue, _where(asked), _by(bench, asked))
    bench.reread()
    return look_backs_of(bench, speaker)


def _backs(bench: Bench) -> tuple[LookBack, ...]:
    """As `portal check` lists them, of what the bench holds: no file is read that it knows."""
    open_ones = open_doubts(bench.catalogue, bench.facts)
    if not open_ones:
        return ()
    for mould, trial in tuple(bench.catalogue.trials()):
        bench.refresh(mould.id, trial.id)  # also where nobody works here: another bench may have measured there
    catalogue = bench.catalogue
    near = held(bench.folder, in_doubt(catalogue, open_ones), bench.facts)
    record, written = bench.logs.recorded(catalogue), written_in(catalogue)
    return tuple(told_of(near, record, open_ones, written=written, memory=bench.doubted))


def _told(bench: Bench, back: LookBack, speaker: Speaker) -> Told:
    kind, place = back.doubt.field
    setting = back.doubt.scope.settings[back.doubt.setting]
    own = setting.checks[int(place)] if kind == "checks" else setting.calibrations[int(place)]
    rows = tuple(_row(bench, each, speaker) for each in back.findings)
    return Told(back, kind, place, lookedback.named(own), rows)


def _row(bench: Bench, seen: Seen, speaker: Speaker) -> Row:
    found = next(each for each in bench.catalogue.findings() if each.picture.file == seen.picture)
    tag = found.picture.tag
    defect = next((each.defect for each in tag.findings if each.id == seen.finding), "") if tag else ""
    return Row(
        finding=seen.finding,
        part=seen.part,
        term=bench.term(defect, speaker.language) if defect else "",
        file=found.picture.name,
        trial=trial_key(found.trial),
        picture=key_of(seen.picture),
        said=_said(bench, seen.again, speaker),
        is_left=seen.is_left,
    )


def _said(bench: Bench, again: LookedAgain | None, speaker: Speaker) -> str:
    if again is None:
        return ""
    person = bench.catalogue.shop.people.get(again.by)
    name, at = person.name if person else again.by, moment(again.at.text, speaker)
    said = speaker.say(Say.of(_SAID[again.result], name=name, at=at))
    return f"{said} {again.note}" if again.note else said


def _by(bench: Bench, asked: Done) -> dict[str, str]:
    noted = {"note": asked.note.strip()} if asked.note.strip() else {}
    return {"by": asked.by, "at": now(bench.catalogue.shop.time_zone), **noted}


def _where(asked: Done) -> lookedback.Where:
    return lookedback.Where(asked.scope, asked.setting, asked.kind, asked.place, asked.name)


def _is(doubt: Doubt, asked: Done) -> bool:
    return (doubt.scope.id, doubt.setting, *doubt.field) == (asked.scope, asked.setting, asked.kind, str(asked.place))
