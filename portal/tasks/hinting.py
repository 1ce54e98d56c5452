"""What `portal check` tells an inspector to look at again, as far as it is known without decoding a picture.

The numbers of their pixels stand on the review of the trial.
"""

from collections.abc import Iterator

from portal.model.mould import Trial
from portal.model.picture import Picture, PictureFacts
from portal.tasks.gather import Surveyed


def hints(surveyed: Surveyed) -> Iterator[str]:
    """Pictures of a trial with the very same bytes, and those whose frame isn't that of most of their view."""
    for _, trial in surveyed.catalogue.trials():
        yield from _same_bytes(surveyed, trial)
        yield from _other_frames(surveyed, trial)


def _same_bytes(surveyed: Surveyed, trial: Trial) -> Iterator[str]:
    first: dict[str, str] = {}
    for picture, facts in _readable(surveyed, trial):
        other = first.setdefault(facts.sha256, picture.file)
        if other != picture.file:
            yield f"{picture.file}: the same file as {other.rpartition('/')[2]}"


def _other_frames(surveyed: Surveyed, trial: Trial) -> Iterator[str]:
    kinds: dict[tuple[str | None, ...], list[tuple[Picture, str]]] = {}
    for picture, facts in _readable(surveyed, trial):
        tag = picture.tag
        if tag is not None and facts.movie is None:
            kind = (tag.view, tag.scope, tag.setting)
            kinds.setdefault(kind, []).append((picture, str(facts.stored)))
    for many in kinds.values():
        frames = [frame for _, frame in many]
        usual = max(dict.fromkeys(frames), key=frames.count)
        if 2 * frames.count(usual) > len(frames):
            for picture, frame in many:
                if frame != usual:
                    others = f"{frames.count(usual)} others of its view and setting are {usual}"
                    yield f"{picture.file}: {frame} pixels, {others}"


def _readable(surveyed: Surveyed, trial: Trial) -> Iterator[tuple[Picture, PictureFacts]]:
    for picture in trial.pictures:
        facts = surveyed.facts.get(picture.file)
        if isinstance(facts, PictureFacts):
            yield picture, facts
