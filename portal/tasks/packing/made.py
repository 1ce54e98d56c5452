"""The pictures of a review: taken over from a site that shows the same, else made anew."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from pydantic import TypeAdapter

from portal.model.picture import PictureFacts, PictureUnreadable
from portal.model.slug import slug
from portal.model.terms import SHOP
from portal.pictures.derive import Derived, Want, want_key
from portal.pictures.jobs import Job, derive_many, jobs_for
from portal.problem import PortalError, Problem
from portal.site.inputs import SiteInput
from portal.tasks import manifest
from portal.tasks.publish import ASSETS

_DERIVED: TypeAdapter[Derived] = TypeAdapter(Derived)


@dataclass(frozen=True)
class Made:
    """Derived pictures by the file they come from, and where each lies, by its SHA-256."""

    by_file: Mapping[str, tuple[Derived, ...]]
    paths: Mapping[str, Path]
    unplayable: Mapping[str, PictureUnreadable]
    """Movies of which frames can be shown, and no more."""


def make(site: SiteInput, wants: Mapping[str, Sequence[Want]], root: Path, out: Path, *, processes: int) -> Made:
    """Every wanted picture; `out` takes those that no site of the catalogue has. Refused where one can't be read."""
    known = list(_sites(root, site.audience))
    by_file: dict[str, tuple[Derived, ...]] = {}
    paths: dict[str, Path] = {}
    jobs: list[tuple[str, Job]] = []
    for file, many in wants.items():
        facts = site.facts.get(file)
        if not isinstance(facts, PictureFacts):
            continue
        for job in jobs_for(root / file, facts, many, out):
            found = [_found(known, want_key(facts, want)) for want in job.wants]
            there = [each for each in found if each is not None]
            if len(there) == len(job.wants):
                by_file[file] = by_file.get(file, ()) + tuple(derived for derived, _ in there)
                paths.update({derived.sha256: path for derived, path in there})
            else:
                jobs.append((file, job))
    made = list(zip(jobs, derive_many([job for _, job in jobs], processes=processes), strict=True))
    bad = [(file, job, each) for (file, job), each in made if isinstance(each, PictureUnreadable)]
    _refuse_unreadable({file: each for file, job, each in bad if not job.plays})
    for (file, _), derived_of in made:
        if not isinstance(derived_of, PictureUnreadable):
            by_file[file] = by_file.get(file, ()) + derived_of
            paths.update({each.sha256: out / each.name for each in derived_of})
    return Made(by_file, paths, {file: each for file, job, each in bad if job.plays})


def _sites(root: Path, audience: str) -> Iterator[tuple[manifest.Manifest, Path]]:
    for name in (SHOP, audience):
        out = root / "site" / slug(name)
        known = manifest.load(out)
        if known is not None:
            yield known, out / ASSETS


def _found(sites: Sequence[tuple[manifest.Manifest, Path]], key: str) -> tuple[Derived, Path] | None:
    """What a site made of the same pixels in the same way, if its bytes are still those."""
    for known, assets in sites:
        if key in known.derived:
            derived = _DERIVED.validate_python(known.derived[key])
            path = assets / derived.name
            try:
                if sha256(path.read_bytes()).hexdigest() == derived.sha256:
                    return derived, path
            except OSError:
                continue
    return None


def _refuse_unreadable(bad: Mapping[str, PictureUnreadable]) -> None:
    if bad:
        raise PortalError(
            "not packed: a picture that the review shows can't be read",
            problems=[Problem(file, 0, "", str(each.reason), each.hint) for file, each in bad.items()],
        )
