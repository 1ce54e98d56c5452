"""What hangs together is found, and a smaller catalogue holds nothing else."""

from portal.model.catalogue import Catalogue
from portal.model.narrow import clusters, kin, only_parts, only_pictures
from portal.tasks.gather import Gathered


def test_pictures_of_one_finding_hang_together_and_others_stand_alone(sample: Gathered) -> None:
    """Every picture is in one cluster; one that adds shapes is in that of the picture it adds to."""
    joined = 0
    for _, trial in sample.catalogue.trials():
        found = clusters(trial.pictures)
        assert sorted(each.file for many in found for each in many) == sorted(each.file for each in trial.pictures)
        home = {each.file: many for many in found for each in many}
        for finding, pictures in trial.also_on.items():
            written = [each for each in trial.pictures if each.tag and finding in {own.id for own in each.tag.findings}]
            assert all(home[one.file] is home[other.file] for one in pictures for other in written)
            joined += len(pictures)
    assert joined > 0


def test_a_catalogue_of_some_pictures_has_no_others(sample: Gathered) -> None:
    """Nor other moulds, nor parts that this one doesn't make, nor what was looked at; and nothing worked out before."""
    mould, trial = next(pair for pair in sample.catalogue.trials() if len(pair[1].also_on) > 0)
    first = next(each for each in trial.pictures if each.tag and not each.tag.also)
    small = only_pictures(sample.catalogue, mould, trial, [first])
    ((_, kept),) = small.trials()
    assert kept.pictures == (first,) and kept.looked == () and small.parts.keys() <= sample.catalogue.parts.keys()
    assert kept.also_on == {} != trial.also_on
    assert small.standards is sample.catalogue.standards


def test_parts_of_one_mould_belong_together(sample: Gathered) -> None:
    """Every part is in one group, and a group's catalogue holds all moulds that make its parts."""
    catalogue: Catalogue = sample.catalogue
    groups = kin(catalogue)
    assert sorted(part for group in groups for part in group) == sorted(catalogue.parts)
    for mould in catalogue.moulds.values():
        made = {cavity.part for cavity in mould.cavities.values()}
        assert any(made <= group and mould.id in only_parts(catalogue, group).moulds for group in groups)
