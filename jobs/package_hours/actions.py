"""A manager says how long a package takes here."""

from __future__ import annotations

from typing import Any

from jobs import limits
from jobs.coverage.catalogue import Package
from jobs.models import PackageHours
from jobs.package_hours.defaults import DEFAULTS
from jobs.plan.forecast_actions import ask_to_carry_on
from shopapp.actions import write
from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Shop
from shopapp.say import say


@action("packagehours.change", within=limits.PACKAGE_HOURS)
def change_hours(act: Act, /, *, package: str, **fields: Any) -> Json:
    """Keep hours and nights of a package; what is empty is as usual."""
    act.lock(Shop, 1)
    helper = fields["helper_min"]
    if helper is None:
        helper = DEFAULTS[Package(package)].helper_min
    if fields["laying_min"] is not None and helper > fields["laying_min"]:
        raise Refused(
            say("The second person stays no longer than the film work takes."),
            field="helper_h",
        )
    ask_to_carry_on(act)
    row = PackageHours.objects.filter(package=package).first()
    return write(row or PackageHours(package=package), fields)
