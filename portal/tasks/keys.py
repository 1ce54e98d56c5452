"""Digests of all that something is worked out from: what has the same key came to the same.

A key is made of the records that are handed over, never of where they came from or when they were changed.
"""

import hashlib
import platform
from collections.abc import Iterable, Mapping
from functools import cache, cached_property
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from portal import __version__, resources
from portal.model.catalogue import Catalogue
from portal.model.mould import Mould, Trial
from portal.model.narrow import made_by
from portal.model.picture import Facts, Picture
from portal.tasks.inputs import program_files
from portal.tasks.records import digest

_LIBRARIES = (
    *("av", "babel", "jinja2", "markdown", "markupsafe", "nh3"),
    *("numpy", "pillow", "pillow-heif", "pydantic", "pyyaml", "simplejpeg", "tzdata"),
)
"""Those whose version may change what a page says."""
_THAT_JUDGE = ("numpy", "pydantic", "pyyaml", "tzdata")
"""Those whose version may change what is judged of the same files."""
_ROOMS_THAT_JUDGE = ("assess", "catalog", "judge", "measure", "model")
"""What reads is among them: of a tag the key has only what its file says."""
_PORTAL = Path(__file__).parent.parent


@cache
def program_key() -> str:
    """The program itself: its code, its templates and words, the libraries that work out and write pages."""
    return _key_of(program_files(_PORTAL, resources.templates()), _LIBRARIES)


@cache
def judging_key() -> str:
    """What reads, measures and judges: what comes of it has no words yet, and no page."""
    return _key_of(judging_files(), _THAT_JUDGE)


def judging_files() -> tuple[tuple[str, Path], ...]:
    """The files of all rooms that reading, measuring and judging may import, and of what keeps what came of it."""
    rooms = program_files(*(_PORTAL / room for room in _ROOMS_THAT_JUDGE))
    tasks = ("judging", "keptfiles", "keys", "records")
    own = ("problem.py", "pause.py", *(f"tasks/{name}.py" for name in tasks))
    return (*rooms, *((name, _PORTAL / name) for name in own))


def _key_of(files: Iterable[tuple[str, Path]], libraries: Iterable[str]) -> str:
    made = hashlib.sha256(f"{__version__} {platform.python_version()}".encode())
    for name, path in files:
        made.update(f"\n{name} ".encode() + hashlib.sha256(path.read_bytes()).digest())
    for library in libraries:
        made.update(f"\n{library} {_version(library)}".encode())
    return made.hexdigest()


def _version(library: str) -> str:
    try:
        return version(library)
    except PackageNotFoundError:
        return ""


class Keys:
    """The keys of a catalogue as it is handed over.

    `program` is the key of what works on it; `written` are the digests of the files that tags were read from, where
    they are known: a tag is what its file says.
    """

    def __init__(
        self, catalogue: Catalogue, facts: Mapping[str, Facts], *, program: str, written: Mapping[str, str]
    ) -> None:
        self._catalogue = catalogue
        self._program = program
        self._facts = facts
        self._written = written
        self._heads: dict[tuple[str, str], str] = {}
        self._tops = tuple(f"moulds/{each}/" for each in catalogue.moulds)

    @cached_property
    def shared(self) -> str:
        """What every part's findings are judged by: all but parts and moulds."""
        known = self._catalogue
        records = (known.shop, known.defects, known.standards, known.scopes, known.limit_samples, known.customers)
        facts = [(file, each) for file, each in self._facts.items() if not file.startswith(("moulds/", "parts/"))]
        return digest(self._program, records, sorted(known.broken.items()), sorted(facts, key=lambda each: each[0]))

    def head(self, mould: Mould, trial: Trial) -> str:
        """A trial without its pictures, its mould without the other trials, and the parts that this makes."""
        if (mould.id, trial.id) not in self._heads:
            parts = made_by(mould, self._catalogue)
            views = [
                (file, self._facts.get(file))
                for part in parts.values()
                for file in sorted({f"parts/{part.id}/{each.reference}" for each in part.views.values()})
            ]
            self._heads[mould.id, trial.id] = digest(
                self.shared, parts, views, mould.but(trials={}), trial.but(pictures=(), looked=())
            )
        return self._heads[mould.id, trial.id]

    def cluster(self, mould: Mould, trial: Trial, pictures: Iterable[Picture]) -> str:
        """Pictures that hang together, with all that the findings on them are judged by."""
        made = hashlib.sha256(self.head(mould, trial).encode())
        for each in pictures:
            said = (each.file, each.tag_broken, self._tag(each), self._facts.get(each.file))
            made.update(repr(said).encode())
        return made.hexdigest()

    def _tag(self, picture: Picture) -> str:
        if picture.tag is None:
            return ""
        return self._written.get(picture.tag.file) or digest(picture.tag)
