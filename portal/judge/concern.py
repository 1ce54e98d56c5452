"""What a finding may touch besides the look: function, contamination, injury."""

from portal.model.part import Zone
from portal.model.say import Say
from portal.model.standard import Criterion, DefectClass
from portal.model.tag import Finding
from portal.model.terms import Concern, Probe

_GRAVEST = (Concern.INJURY, Concern.CONTAMINATION, Concern.FUNCTION)


def concern_of(finding: Finding, *, defect: DefectClass, zone: Zone | None, criterion: Criterion | None) -> str | None:
    """The gravest concern of the class, the zone, the criterion and the piece itself; None where there is none.

    Loose flash is contamination, a sharp tip may injure, whatever the records say.
    """
    named = {defect.concern, zone.concern if zone else None, criterion.concern if criterion else None}
    if is_loose(finding):
        named.add(Concern.CONTAMINATION)
    if any(check.what is Probe.SHARP_TIP and check.result == "yes" for check in finding.checks):
        named.add(Concern.INJURY)
    return next((concern.value for concern in _GRAVEST if concern in named), None)


def is_loose(finding: Finding) -> bool:
    """Whether it is flash that has come off, or is about to."""
    return finding.attached is False


def sentence(concern: str, criterion: Criterion | None) -> Say:
    """Who has to decide what pictures can't show: the role that the criterion names, else one still to be named."""
    named = criterion.decided_by if criterion else None
    return Say.of(f"verdict.concern.{concern}", role=named or Say.of("verdict.concern.role"))
