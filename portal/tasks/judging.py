"""Judges every trial; what is judged by the same as before isn't judged again, and much of it is judged at once."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from portal.assess.trial import assess_trial
from portal.model.base import Record
from portal.model.catalogue import Catalogue
from portal.model.checks import check_files
from portal.model.mould import Mould, Trial
from portal.model.narrow import clusters, made_by
from portal.model.picture import Facts, Picture
from portal.model.result import Assessment, TrialResult
from portal.tasks.keys import Keys, judging_key
from portal.tasks.records import Keeper, NotKept
from portal.tasks.store import Store

_ENOUGH = 400
"""So many findings are worth another process."""
_SHARES = 4
"""So many shares of the work for each process."""

Cluster = tuple[Mould, Trial, tuple[Picture, ...]]


def assess_all(
    catalogue: Catalogue, facts: Mapping[str, Facts], *, memory: "Memory | None" = None, processes: int = 1
) -> tuple[TrialResult, ...]:
    """Every part's every trial, from old to new."""
    judged = (memory or Memory()).of(catalogue, facts, processes=processes)
    return tuple(
        assess_trial(
            part, mould, trial, facts, catalogue,
            judge_cluster=lambda mould, trial, pictures: judged[mould.id, trial.id, pictures[0].file],
        )
        for part in catalogue.parts.values()
        for mould, trial in catalogue.trials_of(part.id)
    )  # fmt: skip


@dataclass
class Memory:
    """Remembers what was judged: in this process, and in a store for the next one."""

    store: Store = field(default_factory=lambda: Store(None))
    written: Mapping[str, str] = field(default_factory=dict)
    """Digests of the files of tags, as they were read."""
    _known: dict[str, tuple[Assessment, ...]] = field(default_factory=dict)
    """What the last call used, by key."""

    def of(
        self, catalogue: Catalogue, facts: Mapping[str, Facts], *, processes: int
    ) -> dict[tuple[str, str, str], tuple[Assessment, ...]]:
        """What was found on the pictures of each cluster, by mould, trial and the first of the pictures."""
        keys = Keys(catalogue, facts, program=judging_key(), written=self.written)
        keepers = _Keepers(catalogue)
        found: dict[tuple[str, str, str], tuple[Assessment, ...]] = {}
        missing: list[Cluster] = []
        used: dict[str, tuple[Assessment, ...]] = {}
        for each in _clusters(catalogue):
            key = keys.cluster(*each)
            known = self._remembered(key, each[0], keepers)
            if known is None:
                missing.append(each)
            else:
                used[key] = found[_name(each)] = known
        for each, data in zip(missing, _judged(catalogue, facts, missing, processes=processes), strict=True):
            key = keys.cluster(*each)
            self.store.put(key, data)
            used[key] = found[_name(each)] = keepers.of(each[0]).load(data)
        self._known = used
        return found

    def _remembered(self, key: str, mould: Mould, keepers: "_Keepers") -> tuple[Assessment, ...] | None:
        if key in self._known:
            return self._known[key]
        data = self.store.get(key)
        if data is None:
            return None
        try:
            made: tuple[Assessment, ...] = keepers.of(mould).load(data)
        except NotKept:
            return None
        return made


def _name(cluster: Cluster) -> tuple[str, str, str]:
    mould, trial, pictures = cluster
    return mould.id, trial.id, pictures[0].file


def _clusters(catalogue: Catalogue) -> Iterator[Cluster]:
    """The clusters of which something has to be judged."""
    for mould, trial in catalogue.trials():
        for pictures in clusters(trial.pictures):
            if any(each.tag and each.tag.findings for each in pictures):
                yield mould, trial, pictures


def _judged(
    catalogue: Catalogue, facts: Mapping[str, Facts], wanted: list[Cluster], *, processes: int
) -> Iterable[bytes]:
    """What each cluster comes to, as bytes; in several processes where it is enough for that."""
    if not wanted:
        return ()
    findings = sum(len(each.tag.findings) for _, _, pictures in wanted for each in pictures if each.tag)
    if processes < 2 or findings < _ENOUGH:
        return _judge(_Share(catalogue, facts, wanted))
    from portal.pictures.pool import run_all  # most catalogues need no other process

    size = -(-len(wanted) // (_SHARES * processes))
    shares = [_share(catalogue, facts, wanted[start : start + size]) for start in range(0, len(wanted), size)]
    return (each for many in run_all(_judge, shares, processes=processes, died=_judge) for each in many)


@dataclass(frozen=True)
class _Share:
    """A part of the work with all that it takes."""

    catalogue: Catalogue
    facts: Mapping[str, Facts]
    clusters: list[Cluster]


def _share(catalogue: Catalogue, facts: Mapping[str, Facts], wanted: list[Cluster]) -> _Share:
    """A share as another process is handed it: no picture twice, nothing of other moulds."""
    moulds = {mould.id: mould.but(trials={}) for mould, _, _ in wanted}
    parts = {id_: part for mould in moulds.values() for id_, part in made_by(mould, catalogue).items()}
    files = [*check_files(catalogue), *(each.file for _, _, pictures in wanted for each in pictures)]
    smaller = replace(catalogue, parts=parts, moulds={})
    heads = {(trial.mould, trial.id): trial.but(pictures=(), looked=()) for _, trial, _ in wanted}
    slim = [(moulds[mould.id], heads[trial.mould, trial.id], pictures) for mould, trial, pictures in wanted]
    return _Share(smaller, {file: facts[file] for file in files if file in facts}, slim)


def _judge(share: _Share) -> list[bytes]:
    from portal.assess.finding import assess_cluster  # what was judged before is told without what measures

    keepers = _Keepers(share.catalogue)
    return [
        keepers.of(mould).dump(assess_cluster(mould, trial, pictures, share.facts, share.catalogue))
        for mould, trial, pictures in share.clusters
    ]


class _Keepers:
    """Tell criteria and limits by where they stand."""

    def __init__(self, catalogue: Catalogue) -> None:
        self._catalogue = catalogue
        self._by_mould: dict[str, Keeper] = {}

    def of(self, mould: Mould) -> Keeper:
        """For what is judged of a mould."""
        if mould.id not in self._by_mould:
            self._by_mould[mould.id] = Keeper(self._criteria(mould))
        return self._by_mould[mould.id]

    def _criteria(self, mould: Mould) -> Iterator[Record]:
        standards = [each for revisions in self._catalogue.standards.values() for each in revisions.values()]
        parts = made_by(mould, self._catalogue).values()
        for criteria in (*(each.criteria for each in standards), *(each.criteria for each in parts)):
            for each in criteria:
                yield each
                yield from each.limits
