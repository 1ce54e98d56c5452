"""The checks of a setting's graticule: their pictures, and what they came to until a day."""

from collections.abc import Iterable
from datetime import date

from portal.model.catalogue import Catalogue
from portal.model.result import CheckResult
from portal.model.scope import Scope


def check_files(catalogue: Catalogue) -> tuple[str, ...]:
    """Every check picture."""
    return tuple(
        dict.fromkeys(
            scope.path_of(check.picture)
            for scope in catalogue.scopes.values()
            for setting in scope.settings.values()
            for check in setting.checks
        )
    )


def failed_on(scope: Scope, setting: str, checks: Iterable[CheckResult], *, day: date) -> date | None:
    """The day of the last check until then that says something, if it failed.

    What was calibrated until that day measures nothing.
    """
    made = scope.settings[setting].checks
    own = [each for each in checks if (each.scope, each.setting) == (scope.id, setting)]
    told = [(made[each.index].at, each.agrees) for each in own if each.agrees is not None]
    until = [(at.order, at.day, agrees) for at, agrees in told if at.day <= day]
    _, last, agrees = max(until, default=("", None, True))
    return None if agrees else last
