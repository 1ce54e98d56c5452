"""How a value came about: its readings, their uncertainty budgets, what was refused and why."""

import math
from dataclasses import dataclass

from portal.model.result import Assessment, FromFile, Measurement, Unmeasured
from portal.model.say import Figure, Quantity, Say
from portal.model.scalars import Length
from portal.site.desk import Desk
from portal.site.words import Speaker


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One term of a budget."""

    name: Say
    u: str
    distribution: Say
    share: int
    """Of the combined variance, in percent."""
    largest: bool


@dataclass(frozen=True, slots=True)
class Reckoned:
    """One reading with its budget."""

    value: Say
    how: Say
    scale: Say | None
    factor: Say
    correction: Say | None
    lines: tuple[BudgetLine, ...]
    largest: Say
    picture: str | None
    """Address of the picture's page."""
    picture_name: str | None


@dataclass(frozen=True, slots=True)
class Refused:
    """A reading that couldn't be had."""

    characteristic: Say
    reason: Say


@dataclass(frozen=True, slots=True)
class Reckoning:
    """All readings of a finding."""

    readings: tuple[Reckoned, ...]
    refused: tuple[Refused, ...]


def reckoning(desk: Desk, assessment: Assessment, speaker: Speaker) -> Reckoning:
    """How the values of a finding were measured."""
    return Reckoning(
        readings=tuple(_reckoned(desk, each, speaker) for each in assessment.measured()),
        refused=tuple(
            Refused(Say.of(f"characteristic.{each.characteristic.value}"), each.reason)
            for each in assessment.readings
            if isinstance(each, Unmeasured)
        ),
    )


def value_of(measurement: Measurement) -> Say:
    """The characteristic with its value and ±."""
    return Say.of(
        "budget.value",
        characteristic=Say.of(f"characteristic.{measurement.characteristic.value}"),
        value=Quantity(measurement.value, measurement.expanded, power=measurement.power),
    )


def _reckoned(desk: Desk, each: Measurement, speaker: Speaker) -> Reckoned:
    variance = sum(term.u**2 for term in each.terms) or 1.0
    largest = each.largest if each.terms else None
    return Reckoned(
        value=value_of(each),
        how=how(each),
        scale=_scale(each, speaker),
        factor=_factor(each, speaker),
        correction=_correction(each, speaker),
        lines=tuple(
            BudgetLine(
                name=Say.of(f"term.{term.name}"),
                u=speaker.about(term.u, power=each.power),
                distribution=Say.of(f"distribution.{term.distribution}"),
                share=round(100 * term.u**2 / variance),
                largest=term is largest,
            )
            for term in sorted(each.terms, key=lambda term: -term.u)
        ),
        largest=Say.of(f"term.{largest.name}") if largest else Say.of("budget.no_terms"),
        picture=desk.addresses.picture(each.picture) if each.picture else None,
        picture_name=each.picture.rpartition("/")[2] if each.picture else None,
    )


def how(each: Measurement) -> Say:
    """By which drawing, or by which instrument."""
    if each.how == "gauge":
        return Say.of("budget.by_gauge", instrument=each.instrument or "")
    shape = Say.of(f"shape.{each.shape.value}") if each.shape else Say.of("budget.drawn")
    drawn = Say.of(f"drawn.{each.drawn.value.replace(' ', '-')}") if each.drawn else Say.of("budget.drawn")
    return Say.of("budget.by_shape", shape=shape, drawn=drawn)


def _scale(each: Measurement, speaker: Speaker) -> Say | None:
    scale = each.scale
    if scale is None:
        return None
    x, y = (speaker.about(um, unit="um", digits=4) for um in (scale.x_um, scale.y_um))
    by = scale.given_by
    if isinstance(by, Length):
        return Say.of("budget.scale_reference", x=x, reference=by)
    if isinstance(by, FromFile):
        return Say.of("budget.scale_file", x=x, y=y, where=Say.of(f"file_scale.{by.by}"))
    return Say.of("budget.scale", x=x, y=y, scope=by.scope, setting=by.setting, calibration=by.calibration)


def _factor(each: Measurement, speaker: Speaker) -> Say:
    u, k = speaker.about(each.u, power=each.power), Figure(f"{each.k:.2f}")
    if math.isinf(each.dof):
        return Say.of("budget.factor", u=u, k=k)
    return Say.of("budget.factor_dof", u=u, k=k, dof=f"{each.dof:.0f}")


def _correction(each: Measurement, speaker: Speaker) -> Say | None:
    if not each.correction:
        return None
    return Say.of("budget.correction", value=speaker.about(each.correction, power=each.power))
