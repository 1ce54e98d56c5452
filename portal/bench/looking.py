"""What the pictures' files say of themselves, looked at when it is asked for and again once a file has changed."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from threading import Lock

from portal.catalog.folder import Folder
from portal.model.picture import Facts, PictureFacts
from portal.pictures.apart import look
from portal.pictures.many import facts_many
from portal.tasks.inputs import Stamp, stamp_of
from portal.tasks.preview import Looked


class Looking(Looked):
    """Facts by file, as far as the file is there; only files that the catalogue names are asked for."""

    def __init__(self, folder: Path) -> None:
        self._folder = Folder(folder)
        self._known: dict[str, tuple[Stamp, Facts]] = {}
        self._lock = Lock()

    def __getitem__(self, file: str) -> Facts:
        stamp = stamp_of(self._folder.root / file)
        if stamp is None or not self._folder.is_inside(file):
            raise KeyError(file)
        with self._lock:
            known = self._known.get(file)
        if known is not None and known[0] == stamp:
            return known[1]
        facts = look(self._folder.root / file)
        with self._lock:
            self._known[file] = (stamp, facts)
        return facts

    def ranged(self, files: Iterable[str]) -> dict[str, Facts]:
        """The same with the range of deep samples, for which all their pixels are decoded: once for each file."""
        known = {file: facts for file in files if (facts := self.get(file)) is not None}
        missing = [file for file, each in known.items() if isinstance(each, PictureFacts) and each.is_unranged]
        stamps = {file: stamp_of(self._folder.root / file) for file in missing}
        looked = facts_many((self._folder.root / file for file in missing), threads=2) if missing else ()
        for file, facts in zip(missing, looked, strict=True):
            known[file] = facts
            if (stamp := stamps[file]) is not None:
                with self._lock:
                    self._known[file] = (stamp, facts)
        return known

    def __iter__(self) -> Iterator[str]:
        return iter(tuple(self._known))

    def __len__(self) -> int:
        return len(self._known)

    def seen(self, file: str) -> Facts | None:
        """What is known without looking."""
        known = self._known.get(file)
        return known[1] if known else None
