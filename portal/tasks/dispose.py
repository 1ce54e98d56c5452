"""`portal record --shop`: the shop's engineer says what becomes of findings, as far as the shop may."""

from portal.model.answer import Disposition
from portal.model.event import About, Logged
from portal.model.says import DispositionGiven
from portal.problem import PortalError
from portal.tasks.opened import Opened, one_of
from portal.tasks.telling import listed

OWN = tuple(each for each in Disposition if each.is_for_the_shop())


def dispose(
    opened: Opened, disposition: str, findings: tuple[str, ...], *, why: str | None = None, ask: str | None = None
) -> Logged:
    """Record what the shop decided; what only the customer can grant is refused."""
    chosen = one_of(Disposition, disposition, "--disposition")
    if not chosen.is_for_the_shop():
        raise _refused(opened, chosen, findings)
    if not findings:
        raise PortalError("it isn't said what was decided about", hint="add `--finding ID`", code=2)
    trial = opened.trial_of(findings)
    about = {"finding": findings[0]} if len(findings) == 1 else {}
    to = {"event": opened.ask(ask).hash} if ask else {}
    says = DispositionGiven(
        disposition=chosen, findings=opened.bound(dict.fromkeys(findings)), **({"why": why} if why else {})
    )
    return opened.write(says, About(trial=trial, **about, **to))


def _refused(opened: Opened, chosen: Disposition, findings: tuple[str, ...]) -> PortalError:
    own = f"the shop may decide {listed(f'`{each}`' for each in OWN)}"
    asking = f"`portal ask --part {opened.part.id} --finding {(findings or ('ID',))[0]}`"
    if chosen is Disposition.CONCESSION:
        return PortalError("the shop can't grant itself a concession", hint=f"ask the customer: {asking}; {own}")
    if chosen in {Disposition.REPAIR, Disposition.REGRADE}:
        return PortalError(f"{chosen} needs the customer's concession first", hint=f"ask for it: {asking}; {own}")
    return PortalError(f"only the customer can say `{chosen}`", hint=f"ask: {asking}; {own}")
