"""Where each page lies, and how one page points at another."""

import hashlib
from collections import Counter
from posixpath import dirname, relpath
from urllib.parse import quote

from portal.model.catalogue import Catalogue
from portal.model.event import check_code
from portal.model.slug import same_name, slug

FRONT = "index.html"
CONTENTS = "catalogue.html"
SEARCH = "search.html"
ASSETS = "assets"


class Addresses:
    """The address of every page of a catalogue."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._taken = Counter(same_name(_joined(mould, trial)) for mould, trial in _trials_there_are(catalogue))
        self._pictures = {
            picture.file: (mould.id, trial.id, picture.name)
            for mould, trial in catalogue.trials()
            for picture in trial.pictures
        }
        self._known = {
            *(("defect", each) for each in catalogue.defects),
            *(("scope", each) for each in catalogue.scopes),
            *(("limit sample", each) for each in catalogue.limit_samples),
            *(("standard", f"{name}/{revision}") for name, each in catalogue.standards.items() for revision in each),
            *catalogue.broken,
        }

    def part(self, part: str) -> str:
        """The page of a part."""
        return f"parts/{slug(part)}/{FRONT}"

    def review(self, part: str, mould: str, trial: str) -> str:
        """The review page of a part in a trial; two pairs of names that would meet are told apart."""
        name = _joined(mould, trial)
        if self._taken[same_name(name)] > 1:
            name += f"-{hashlib.sha256(f'{mould}/{trial}'.encode()).hexdigest()[:6]}"
        return f"parts/{slug(part)}/{name}.html"

    def sent(self, part: str, trial: str, code: str) -> str:
        """The page of a sent review, by its trial as `<mould>/<trial>` and its check code."""
        return f"parts/{slug(part)}/reviews/{slug(trial.rpartition('/')[2])}-{code}/{FRONT}"

    def closed(self, part: str, ask: str) -> str:
        """The record of a closed matter, by the hash of its ask."""
        return f"parts/{slug(part)}/records/{check_code(ask)}/{FRONT}"

    def picture(self, file: str) -> str | None:
        """The page of a trial's picture; None for a picture of no trial."""
        if file not in self._pictures:
            return None
        mould, trial, name = self._pictures[file]
        return f"pictures/{slug(mould)}/{slug(trial)}/{slug(name)}.html"

    def record(self, kind: str, name: str) -> str | None:
        """The page of a defect class, standard (`<name>/<revision>`), limit sample or scope, also of one that can't
        be read; None of one that isn't there."""
        if (kind, name) not in self._known or kind not in _FOLDERS:
            return None
        return f"{_FOLDERS[kind]}/{'/'.join(slug(each) for each in name.split('/'))}.html"

    def criterion(self, standard: str, criterion: str) -> str | None:
        """A criterion on the page of its standard's revision."""
        page = self.record("standard", standard)
        return f"{page}#{criterion_anchor(criterion)}" if page else None


_FOLDERS = {"defect": "defects", "standard": "standards", "limit sample": "limit-samples", "scope": "scopes"}


def criterion_anchor(criterion: str) -> str:
    """The anchor of a criterion on the page where it stands."""
    return f"k-{slug(criterion)}"


def asset(name: str) -> str:
    """Where a derived picture or a static file lies."""
    return f"{ASSETS}/{name}"


def link(target: str, *, here: str) -> str:
    """A relative address from the page `here`, percent-encoded once."""
    path, mark, anchor = target.partition("#")
    return quote(relpath(path, dirname(here) or ".")) + mark + quote(anchor)


def _joined(mould: str, trial: str) -> str:
    return f"{slug(mould)}-{slug(trial)}"


def _trials_there_are(catalogue: Catalogue) -> list[tuple[str, str]]:
    known = [(mould.id, trial.id) for mould, trial in catalogue.trials()]
    broken = [tuple(name.split("/", 1)) for kind, name in catalogue.broken if kind == "trial"]
    return [*known, *((each[0], each[1]) for each in broken if len(each) == 2)]
