"""The scale of each picture on the day it was taken."""

from datetime import date

from portal.assess.facts import FactsByFile, facts_of
from portal.assess.graticule import last_check
from portal.measure.guards import checked, guarded, own_facts
from portal.measure.scale import find_scale, no_scale, no_scale_in_movie
from portal.measure.written import by_file, held_by_file
from portal.model.catalogue import Catalogue
from portal.model.mould import Trial
from portal.model.part import KnownFeature
from portal.model.picture import Facts, Picture, PictureFacts, PictureUnreadable
from portal.model.result import Calibrated, FromFile, NoScale, Scale
from portal.model.sample import LimitSample, SamplePicture
from portal.model.say import Say
from portal.model.tag import Tag, TaggedPicture
from portal.model.terms import Made


def scales(catalogue: Catalogue, facts: FactsByFile) -> dict[str, Scale | NoScale]:
    """The scale of every picture of a trial and of a limit sample, or why it has none, by the picture's file."""
    found = {
        picture.file: picture_scale(picture, trial, facts, catalogue)
        for _, trial in catalogue.trials()
        for picture in trial.pictures
    }
    for sample in catalogue.limit_samples.values():
        for each in sample.pictures:
            found[f"{sample.folder}/{each.file}"] = sample_scale(sample, each, facts, catalogue)
    return found


def picture_scale(picture: Picture, trial: Trial, facts: FactsByFile, catalogue: Catalogue) -> Scale | NoScale:
    """The scale of a picture of a trial on the day it was taken, or why it has none."""
    own, tag = facts_of(picture.file, facts), picture.tag
    if isinstance(own, PictureUnreadable):
        return NoScale(unreadable(picture.name, own))
    if (moving := no_scale_in_movie(own)) is not None:
        return moving
    if picture.tag_broken is not None:
        return NoScale(Say.of("reason.tag-broken", where=picture.tag_broken))
    if tag is None:
        return no_scale("no-scope-named")
    if tag.picture.sha256 != own.sha256:
        return no_scale("replaced")
    scale = _calibrated(tag, own, facts, catalogue, day=taken_on(picture, own, trial))
    found = guarded(scale, tag, _feature(tag, trial, catalogue), own.upright, otherwise=_by_file(tag, own))
    return found if isinstance(found, NoScale) else _held(found, tag, own, catalogue)


def _by_file(tag: Tag, own: PictureFacts) -> Scale | NoScale | None:
    """What the file states counts only where no microscope is named, and only of a picture as the camera made it."""
    return by_file(own) if tag.scope is None and tag.made in {Made.SINGLE, Made.STACKED} else None


def _held(scale: Scale, tag: Tag, own: PictureFacts, catalogue: Catalogue) -> Scale | NoScale:
    """A scale beside what the file states, unless the file isn't to be believed."""
    scope = catalogue.scopes.get(tag.scope or "")
    is_plain = tag.made in {Made.SINGLE, Made.STACKED}
    if isinstance(scale.given_by, FromFile) or not is_plain or (scope and scope.file_scale == "ignored"):
        return scale
    return held_by_file(scale, own)


def _calibrated(tag: Tag, own: PictureFacts, facts: FactsByFile, catalogue: Catalogue, *, day: date) -> Scale | NoScale:
    """By the calibration of its setting, if the last check of that setting found it right."""
    fitting = own_facts(tag, own)
    if isinstance(fitting, NoScale):
        return fitting
    scale = find_scale(
        tag.scope,
        tag.setting,
        fitting,
        catalogue.scopes,
        day=day,
        broken=catalogue.broken,
        tag_picture=tag.picture,
    )
    return _checked(scale, facts, catalogue, day=day)


def _checked(scale: Scale | NoScale, facts: FactsByFile, catalogue: Catalogue, *, day: date) -> Scale | NoScale:
    """The scale, unless the last check of its setting up to that day found it wrong."""
    if isinstance(scale, NoScale) or not isinstance(scale.given_by, Calibrated):
        return scale
    last = last_check(scale.given_by, facts, catalogue, day=day)
    return checked(scale, last, calibrated=catalogue.calibration(scale.given_by).date)


def _feature(tag: Tag, trial: Trial, catalogue: Catalogue) -> KnownFeature | None:
    """The known feature of the picture's view."""
    mould = catalogue.moulds.get(trial.mould)
    part = catalogue.parts.get(catalogue.part_of(mould, tag.cavity) or "") if mould else None
    view = part.views.get(tag.view or "") if part else None
    return view.known_feature if view else None


def taken_on(picture: Picture, facts: Facts, trial: Trial) -> date:
    """The day of a picture: its tag's, else its file's, else the trial's."""
    if picture.tag and picture.tag.taken:
        return picture.tag.taken.day
    if isinstance(facts, PictureFacts) and facts.taken:
        try:
            return date.fromisoformat(facts.taken[:10])
        except ValueError:
            return trial.date
    return trial.date


def sample_scale(
    sample: LimitSample, picture: SamplePicture, facts: FactsByFile, catalogue: Catalogue
) -> Scale | NoScale:
    """The scale of a picture of a limit sample on the day it was agreed, or why it has none."""
    own = facts_of(f"{sample.folder}/{picture.file}", facts)
    if isinstance(own, PictureUnreadable):
        return NoScale(unreadable(picture.file, own))
    day = sample.agreed.shop.date
    scale = find_scale(
        picture.scope,
        picture.setting,
        own,
        catalogue.scopes,
        day=day,
        broken=catalogue.broken,
        tag_picture=TaggedPicture(sha256=picture.sha256, stored=picture.stored),
    )
    return _checked(scale, facts, catalogue, day=day)


def unreadable(name: str, facts: PictureUnreadable) -> Say:
    """Why nothing can be said of a picture that can't be shown."""
    return Say.of("reason.picture-unreadable", picture=name, why=facts.reason)
