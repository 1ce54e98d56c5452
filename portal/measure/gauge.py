"""Readings of a gauge: what the view can't give."""

import math
import statistics

from portal.measure.budget import combine
from portal.model.readable import by_gauge
from portal.model.result import Measurement, Reading, Term, Unmeasured
from portal.model.say import Say
from portal.model.tag import Gauge


def measure_gauge(gauge: Gauge, *, index: int) -> Reading:
    """The mean of the readings, µm, with the instrument's uncertainty and that of the repeats.

    Repeats: s / sqrt(n) with n - 1 degrees of freedom (JCGM 100:2008 4.2); a single reading has the instrument only.
    """
    what = Say.of(f"characteristic.{gauge.characteristic}")
    if not by_gauge(gauge.characteristic):
        return Unmeasured(gauge.characteristic, Say.of("measure.gauge-gives-no", characteristic=what), index=index)
    readings = [reading.um for reading in gauge.readings]
    if not readings:
        return Unmeasured(gauge.characteristic, Say.of("measure.no-readings"), index=index)
    terms = (Term("instrument", gauge.u.um), *_repeats(readings))
    combined = combine(terms)
    return Measurement(
        characteristic=gauge.characteristic,
        value=statistics.fmean(readings),
        u=combined.u,
        k=combined.k,
        dof=combined.dof,
        terms=terms,
        how="gauge",
        instrument=gauge.instrument,
        index=index,
    )


def _repeats(readings: list[float]) -> tuple[Term, ...]:
    n = len(readings)
    if n < 2:
        return ()
    return (Term("repeats", statistics.stdev(readings) / math.sqrt(n), dof=float(n - 1)),)
