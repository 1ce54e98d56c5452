"""The day of a picture, and where that day is from."""

from dataclasses import dataclass
from datetime import date

from portal.model.mould import Trial
from portal.model.picture import Picture
from portal.model.say import Say
from portal.site.desk import Desk


@dataclass(frozen=True, slots=True)
class Dated:
    """A picture's day and its source."""

    day: date
    said: Say


def dated(desk: Desk, picture: Picture, trial: Trial) -> Dated:
    """The tag's day, else the camera's, else the trial's, and which of them it is."""
    if picture.tag and picture.tag.taken:
        day = picture.tag.taken.day
        return Dated(day, Say.of("dated.tag", day=day, time=picture.tag.taken.text[11:16]))
    facts = desk.facts(picture.file)
    written = facts.taken if facts else None
    if written:
        try:
            day = date.fromisoformat(written[:10])
        except ValueError:
            return Dated(trial.date, Say.of("dated.trial", day=trial.date))
        zone = written[19:]
        if not zone:
            return Dated(day, Say.of("dated.camera", day=day, time=written[11:16]))
        offset = "+00:00" if zone == "Z" else zone
        return Dated(day, Say.of("dated.camera_offset", day=day, time=written[11:16], offset=offset))
    return Dated(trial.date, Say.of("dated.trial", day=trial.date))
