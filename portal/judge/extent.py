"""Whether a picture shows enough for a rule: counts and spacing are made within one picture."""

from portal.judge import naming
from portal.model.countable import Group
from portal.model.say import Say
from portal.model.scalars import Length
from portal.model.standard import CountBand


def of_count(band: CountBand, group: Group, zone: str) -> Say | None:
    """Why the rule is wider than what the picture shows; None where it isn't."""
    if band.circle is not None:
        return of_length(band.circle, group)
    if band.per == "part":
        return None if group.whole_part else Say.of("reason.part-not-whole")
    return None if group.whole_zone else Say.of("reason.zone-not-whole", zone=zone)


def of_length(needed: Length, group: Group) -> Say | None:
    """Why a length is more than what the picture shows; None where it isn't, or where it shows all of the zone."""
    if group.whole_zone:
        return None
    if isinstance(group.ruler, Say):
        return group.ruler
    shown_um = group.ruler.shown_um
    if shown_um >= needed.um:
        return None
    return Say.of("reason.picture-narrow", shown=naming.narrower(shown_um, needed), needed=needed)
