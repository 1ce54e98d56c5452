"""Where each page lies, and how one page points at another."""

import hashlib
import re
from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from posixpath import relpath
from urllib.parse import quote

from portal.model.catalogue import Catalogue
from portal.model.event import check_code
from portal.model.slug import same_name, slug, slugs

FRONT = "index.html"
CONTENTS = "catalogue.html"
SEARCH = "search.html"
ASSETS = "assets"


class Addresses:
    """The address of every page of a catalogue."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._taken = Counter(same_name(_joined(mould, trial)) for mould, trial in _trials_there_are(catalogue))
        self._parts = slugs([*catalogue.parts, *(name for kind, name in catalogue.broken if kind == "part")])
        self._pictures = dict(_of_pictures(catalogue))
        self._records = _of_records(catalogue)

    def part(self, part: str) -> str:
        """The page of a part."""
        return f"parts/{self._part(part)}/{FRONT}"

    def review(self, part: str, mould: str, trial: str) -> str:
        """The review page of a part in a trial; two pairs of names that would meet are told apart."""
        name = _joined(mould, trial)
        if self._taken[same_name(name)] > 1:
            name += f"-{hashlib.sha256(f'{mould}/{trial}'.encode()).hexdigest()[:6]}"
        return f"parts/{self._part(part)}/{name}.html"

    def sent(self, part: str, trial: str, code: str) -> str:
        """The page of a sent review, by its trial as `<mould>/<trial>` and its check code."""
        return f"parts/{self._part(part)}/reviews/{slug(trial.rpartition('/')[2])}-{code}/{FRONT}"

    def closed(self, part: str, ask: str) -> str:
        """The record of a closed matter, by the hash of its ask."""
        return f"parts/{self._part(part)}/records/{check_code(ask)}/{FRONT}"

    def picture(self, file: str) -> str | None:
        """The page of a trial's picture; None for a picture of no trial."""
        return self._pictures.get(file)

    def record(self, kind: str, name: str) -> str | None:
        """The page of a defect class, standard (`<name>/<revision>`), limit sample or scope, also of one that can't
        be read; None of one that isn't there."""
        return self._records.get((kind, name))

    def criterion(self, standard: str, criterion: str) -> str | None:
        """A criterion on the page of its standard's revision."""
        page = self.record("standard", standard)
        return f"{page}#{criterion_anchor(criterion)}" if page else None

    def _part(self, part: str) -> str:
        return self._parts.get(part) or slug(part)


_FOLDERS = {"defect": "defects", "standard": "standards", "limit sample": "limit-samples", "scope": "scopes"}


def _of_pictures(catalogue: Catalogue) -> Iterator[tuple[str, str]]:
    """The page of each trial's picture, by its file."""
    moulds = slugs(catalogue.moulds)
    for mould in catalogue.moulds.values():
        trials = slugs(mould.trials)
        for trial in mould.trials.values():
            names = slugs(picture.name for picture in trial.pictures)
            for picture in trial.pictures:
                yield picture.file, f"pictures/{moulds[mould.id]}/{trials[trial.id]}/{names[picture.name]}.html"


def _of_records(catalogue: Catalogue) -> dict[tuple[str, str], str]:
    """The page of each defect class, scope, limit sample and revision of a standard, also of those that are broken."""
    known = {
        *(("defect", each) for each in catalogue.defects),
        *(("scope", each) for each in catalogue.scopes),
        *(("limit sample", each) for each in catalogue.limit_samples),
        *(("standard", f"{name}/{revision}") for name, each in catalogue.standards.items() for revision in each),
        *catalogue.broken,
    }
    found = {}
    for kind, folder in _FOLDERS.items():
        steps = sorted(name.partition("/")[::2] for each, name in known if each == kind)
        heads = slugs(head for head, _ in steps)
        for head, plain in heads.items():
            for tail, revision in slugs(each for one, each in steps if one == head).items():
                found[kind, f"{head}/{tail}" if tail else head] = (
                    f"{folder}/{plain}{'/' + revision if tail else ''}.html"
                )
    return found


def criterion_anchor(criterion: str) -> str:
    """The anchor of a criterion on the page where it stands."""
    return f"k-{slug(criterion)}"


def asset(name: str) -> str:
    """Where a derived picture or a static file lies."""
    return f"{ASSETS}/{name}"


def link(target: str, *, here: str) -> str:
    """A relative address from the page `here`, percent-encoded once."""
    path, mark, anchor = target.partition("#")
    folder, _, name = path.rpartition("/")
    return _quoted(_way(folder, here.rpartition("/")[0]) + name) + mark + _quoted(anchor)


def _quoted(text: str) -> str:
    return text if _AS_IT_IS(text) else quote(text)


_AS_IT_IS = re.compile("[A-Za-z0-9_.~/-]*").fullmatch
"""What nothing has to be coded of, as of most addresses."""


@lru_cache(maxsize=1024)
def _way(folder: str, here: str) -> str:
    """What leads from one folder to another, empty where they are the same: a page's many links lead to few folders."""
    way = relpath(folder or ".", here or ".")
    return "" if way == "." else f"{way}/"


def _joined(mould: str, trial: str) -> str:
    return f"{slug(mould)}-{slug(trial)}"


def _trials_there_are(catalogue: Catalogue) -> list[tuple[str, str]]:
    known = [(mould.id, trial.id) for mould, trial in catalogue.trials()]
    broken = [tuple(name.split("/", 1)) for kind, name in catalogue.broken if kind == "trial"]
    return [*known, *((each[0], each[1]) for each in broken if len(each) == 2)]
