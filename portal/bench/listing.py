"""Trials with their pictures, and the sheet of what was looked at, as plain data for the page."""

from portal.assess.trial import coverage_of
from portal.bench.checked import mark_of
from portal.bench.index import key_of, trial_key
from portal.bench.looked import conditions_of
from portal.bench.state import Bench
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture, PictureFacts, PictureUnreadable
from portal.site.words import Speaker
from portal.tasks.lookback import doubts_of, open_doubts


def trials(bench: Bench, speaker: Speaker) -> list[dict[str, object]]:
    """Every trial, the newest first."""
    known = sorted(bench.catalogue.trials(), key=lambda pair: (pair[1].date, pair[0].id, pair[1].id), reverse=True)
    return [
        {
            "key": trial_key(trial),
            "mould": mould.id,
            "trial": trial.id,
            "stage": trial.stage,
            "date": speaker.day(trial.date),
            "pictures": len(trial.pictures),
        }
        for mould, trial in known
    ]


def trial_data(bench: Bench, key: str, speaker: Speaker) -> dict[str, object]:
    """A trial's pictures with what is on them, and its sheets."""
    mould, trial = bench.index.trial(key)
    return {
        "key": key,
        "mould": mould.id,
        "trial": trial.id,
        "stage": trial.stage,
        "folder": f"moulds/{mould.id}/trials/{trial.id}/images",
        "version": bench.version,
        "shots": list(trial.shots.kept),
        "pictures": [_picture(each) for each in trial.pictures],
        "sheets": [_sheet(bench, part, mould, trial, speaker) for part in parts_of(bench, mould)],
        "checked": _checked(bench, trial, speaker),
        "checkedSeen": mark_of(trial),
        "conflicts": conflicts(bench, mould.id, trial.id),
        "doubts": _doubts(bench, trial, speaker),
    }


def parts_of(bench: Bench, mould: Mould) -> tuple[Part, ...]:
    """The parts that a mould makes, as far as they can be read."""
    names = dict.fromkeys(cavity.part for cavity in mould.cavities.values())
    return tuple(bench.catalogue.parts[name] for name in names if name in bench.catalogue.parts)


def conflicts(bench: Bench, mould: str, trial: str) -> list[str]:
    """The names of files in which what lost was kept."""
    folder = bench.folder / "moulds" / mould / "trials" / trial / "tags"
    return sorted(each.name for each in folder.glob("*.conflict-*")) if folder.is_dir() else []


def _doubts(bench: Bench, trial: Trial, speaker: Speaker) -> list[dict[str, str]]:
    """The settings of the trial's pictures whose scale is in doubt, until what they measured was looked back at."""
    open_ones = doubts_of(trial, open_doubts(bench.catalogue, bench.facts))
    settings = dict.fromkeys((each.scope.id, each.setting) for each in open_ones)
    return [
        {"scope": scope, "setting": setting, "said": speaker.text("scale.in_doubt", scope=scope, setting=setting)}
        for scope, setting in settings
    ]


def _checked(bench: Bench, trial: Trial, speaker: Speaker) -> str:
    """Who marked the trial checked, and when; empty where nobody did."""
    if trial.checked is None:
        return ""
    person = bench.catalogue.shop.people.get(trial.checked.by)
    return speaker.text("bench.checked_by", name=person.name if person else trial.checked.by, day=trial.checked.at.day)


def _picture(picture: Picture) -> dict[str, object]:
    tag = picture.tag
    return {
        "key": key_of(picture.file),
        "name": picture.name,
        "cavity": (tag.cavity if tag else None) or "",
        "view": (tag.view if tag else None) or "",
        "shot": "" if tag is None or tag.shot is None else str(tag.shot),
        "findings": len(tag.findings) if tag else 0,
        "tagged": tag is not None,
        "broken": picture.tag_broken or "",
    }


def _sheet(bench: Bench, part: Part, mould: Mould, trial: Trial, speaker: Speaker) -> dict[str, object]:
    frames = coverage_of(part, mould, trial, left_out=_left_out(bench, trial), movies=_movies(bench, trial))
    return {
        "part": part.id,
        "name": part.name,
        "cavities": list(dict.fromkeys(each.cavity for each in frames)),
        "views": [{"name": name, "always": view.picture.value == "always"} for name, view in part.views.items()],
        "conditions": list(conditions_of(bench, part, trial)),
        "frames": [
            {
                "cavity": frame.cavity,
                "view": frame.view,
                "pictures": [key_of(each) for each in frame.pictures],
                "looked": len(frame.looked),
                "findings": list(frame.findings),
                "missing": frame.missing,
                "said": speaker.say(said) if said else "",
            }
            for frame, said in frames.items()
        ],
    }


def _movies(bench: Bench, trial: Trial) -> set[str]:
    """The movies of a trial, as far as they were looked at."""
    seen = ((picture.file, bench.facts.seen(picture.file)) for picture in trial.pictures)
    return {file for file, facts in seen if isinstance(facts, PictureFacts) and facts.movie}


def _left_out(bench: Bench, trial: Trial) -> set[str]:
    """Pictures that show nothing, as far as they were looked at; a list waits for none."""
    found = set()
    for picture in trial.pictures:
        facts = bench.facts.seen(picture.file)
        replaced = isinstance(facts, PictureFacts) and picture.tag and picture.tag.picture.sha256 != facts.sha256
        if isinstance(facts, PictureUnreadable) or replaced:
            found.add(picture.file)
    return found
