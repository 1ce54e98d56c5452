"""The starter catalogue and the sample's defect classes."""

from portal.catalog import read
from portal.resources import sample, templates

STARTER = templates() / "starter"
DEFECTS = {"sink-mark", "flash", "gate-vestige", "black-speck", "short-shot", "splay"}


def test_the_starter_reads_without_a_problem() -> None:
    """The first thing that a newcomer checks has nothing wrong with it."""
    assert [str(problem) for problem in read(STARTER).problems] == []


def test_the_starter_has_one_of_each_and_nothing_agreed() -> None:
    """The program has no limit of its own."""
    catalogue = read(STARTER).catalogue
    assert catalogue is not None and catalogue.broken == {}
    assert set(catalogue.defects) == DEFECTS
    (standard,) = catalogue.standards["looks"].values()
    assert [criterion.agreed for criterion in standard.criteria] == [None]
    assert (len(catalogue.scopes), len(catalogue.customers), len(catalogue.parts)) == (1, 1, 1)
    assert [(mould.id, trial.id, trial.pictures) for mould, trial in catalogue.trials()] == [("M-001", "T1", ())]


def test_the_starters_calibration_measures_nothing_today() -> None:
    """An example that was forgotten must not give a size."""
    catalogue = read(STARTER).catalogue
    assert catalogue is not None
    (calibration,) = catalogue.scopes["bench-1"].settings["zoom-2-adapter-0.5"].calibrations
    assert calibration.valid_until.year == 2000


def test_every_defect_class_has_its_terms_and_says_that_nobody_checked_them() -> None:
    """In the five languages that the trade's words were gathered in."""
    catalogue = read(STARTER).catalogue
    assert catalogue is not None
    for defect in catalogue.defects.values():
        assert list(defect.terms) == ["en", "de", "es", "fr", "zh"]
        assert defect.prose and defect.look and defect.causes and defect.hazards and defect.source
        assert defect.checked_by is None


def test_the_samples_defect_classes_are_the_starters() -> None:
    """File by file."""
    for file in (STARTER / "defects").iterdir():
        assert file.read_bytes() == (sample() / "defects" / file.name).read_bytes()
