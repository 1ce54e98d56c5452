"""What the browser may name: keys of our own index; nothing that a client sends becomes a path."""

import hashlib
from dataclasses import dataclass, replace

from portal.bench.refused import Refused
from portal.model.catalogue import Catalogue
from portal.model.mould import Mould, Trial
from portal.model.part import Part
from portal.model.picture import Picture


class NotThere(Refused):
    """A key that the index doesn't hold."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A picture with the trial and the mould to which it belongs, and the part that it shows if that is known."""

    picture: Picture
    trial: Trial
    mould: Mould
    part: Part | None


def key_of(path: str) -> str:
    """The key of a picture by its file, of a trial by `<mould>/<trial>`."""
    return hashlib.sha256(path.encode("utf-8", "surrogatepass")).hexdigest()[:20]


def trial_key(trial: Trial) -> str:
    """The key of a trial."""
    return key_of(f"{trial.mould}/{trial.id}")


@dataclass(frozen=True)
class Index:
    """Every trial and picture of a catalogue by its key."""

    catalogue: Catalogue
    trials: dict[str, tuple[str, str]]
    pictures: dict[str, tuple[str, str, int]]
    samples: dict[str, str]
    """Files of limit samples' pictures."""

    @staticmethod
    def of(catalogue: Catalogue) -> "Index":
        """The index of a catalogue as it is now."""
        trials, pictures = {}, {}
        for mould, trial in catalogue.trials():
            trials[trial_key(trial)] = (mould.id, trial.id)
            for place, picture in enumerate(trial.pictures):
                pictures[key_of(picture.file)] = (mould.id, trial.id, place)
        files = [f"{each.folder}/{one.file}" for each in catalogue.limit_samples.values() for one in each.pictures]
        return Index(catalogue, trials, pictures, {key_of(file): file for file in files})

    def now(self, catalogue: Catalogue) -> "Index":
        """The index of the catalogue as it is now, where no picture came or went."""
        return replace(self, catalogue=catalogue)

    def trial(self, key: str) -> tuple[Mould, Trial]:
        """The trial of that key; NotThere where there is none."""
        if key not in self.trials:
            raise NotThere("refused.no_trial")
        mould, trial = self.trials[key]
        return self.catalogue.moulds[mould], self.catalogue.moulds[mould].trials[trial]

    def sample(self, key: str) -> str:
        """The file of a limit sample's picture; NotThere where there is none."""
        if key not in self.samples:
            raise NotThere("refused.no_picture")
        return self.samples[key]

    def spot(self, key: str) -> Spot:
        """The picture of that key; NotThere where there is none."""
        if key not in self.pictures:
            raise NotThere("refused.no_picture", hint="refused.put_back")
        name, of, place = self.pictures[key]
        mould = self.catalogue.moulds[name]
        trial = mould.trials[of]
        return spot_of(self.catalogue, mould, trial, trial.pictures[place])


def spot_of(catalogue: Catalogue, mould: Mould, trial: Trial, picture: Picture) -> Spot:
    """A picture where it belongs."""
    part = catalogue.part_of(mould, picture.tag.cavity if picture.tag else None)
    return Spot(picture, trial, mould, catalogue.parts.get(part or ""))


def with_picture(trial: Trial, picture: Picture) -> Trial:
    """The trial with one of its pictures as it is now."""
    return with_pictures(trial, tuple(picture if each.file == picture.file else each for each in trial.pictures))


def with_pictures(trial: Trial, pictures: tuple[Picture, ...]) -> Trial:
    """The trial with other pictures; what was worked out of the earlier ones is forgotten."""
    return trial.but(pictures=pictures)


def with_trial(catalogue: Catalogue, trial: Trial) -> Catalogue:
    """The catalogue with one of its trials as it is now."""
    mould = catalogue.moulds[trial.mould]
    fresh = mould.model_copy(update={"trials": {**mould.trials, trial.id: trial}})
    return replace(catalogue, moulds={**catalogue.moulds, mould.id: fresh})
