"""Readings of a gauge."""

import pytest

from portal.measure.gauge import measure_gauge
from portal.model.result import Measurement, Unmeasured
from portal.model.tag import Gauge


def gauge(readings: list[str], *, characteristic: str = "depth", u: str = "2 um") -> Gauge:
    fields = {"characteristic": characteristic, "readings": readings, "instrument": "indicator 7", "u": u}
    return Gauge.model_validate(fields)


def test_a_single_reading_has_the_uncertainty_of_its_instrument() -> None:
    """12 µm with 2 µm of the instrument: U = 4 µm."""
    reading = measure_gauge(gauge(["12 um"]), index=3)
    assert isinstance(reading, Measurement)
    assert (reading.value, reading.u, reading.expanded) == (12.0, 2.0, 4.0)
    assert (reading.how, reading.instrument, reading.index) == ("gauge", "indicator 7", 3)


def test_repeats_give_their_mean_and_add_their_scatter() -> None:
    """12 and 14 µm: mean 13, s / sqrt 2 = 1 with 1 degree of freedom, beside 2 of the instrument."""
    reading = measure_gauge(gauge(["12 um", "14 um"]), index=0)
    assert isinstance(reading, Measurement)
    assert reading.value == 13.0
    assert reading.u == pytest.approx(5**0.5)
    assert reading.dof == pytest.approx(25.0)
    assert 2.05 < reading.k < 2.07


def test_readings_in_other_units_are_micrometres_inside() -> None:
    """0.001 in is 25.4 µm."""
    reading = measure_gauge(gauge(["0.001 in"]), index=0)
    assert isinstance(reading, Measurement)
    assert reading.value == pytest.approx(25.4)


def test_a_gauge_without_a_reading_measures_nothing() -> None:
    """No reading: unmeasured, with the reason."""
    reading = measure_gauge(gauge([]), index=0)
    assert isinstance(reading, Unmeasured) and reading.reason.key == "measure.no-readings"


@pytest.mark.parametrize("characteristic", ["area", "count", "spacing"])
def test_a_gauge_reads_lengths_only(characteristic: str) -> None:
    """An area or a count can't be read from a gauge in micrometres."""
    reading = measure_gauge(gauge(["12 um"], characteristic=characteristic), index=0)
    assert isinstance(reading, Unmeasured) and reading.reason.key == "measure.gauge-gives-no"
