"""The customer's yes to an estimate: by link, by phone, in person, by signature."""

from __future__ import annotations

from dataclasses import dataclass
from ipaddress import ip_address

from jobs.condition.agreement_actions import check_who, signature_of
from jobs.estimates.queries import (
    acceptance_of,
    newest_version,
    standing_booking,
    today_at,
)
from jobs.estimates.standing import has_run_out
from jobs.models import (
    CustomerEstimate,
    EstimateAcceptance,
    EstimateVersion,
    WorkOrder,
)
from shopapp.frame import Act, Refused, action
from shopapp.say import say
from shopapp.telling import when

Agreed = WorkOrder.Agreed
HOW = (Agreed.LINK, Agreed.PHONE, Agreed.PERSON, Agreed.SIGNATURE)
"""Ways in which an estimate is accepted."""


@dataclass(frozen=True, kw_only=True)
class CameFrom:
    """The net address of a yes. The same yes over another network is the same yes."""

    address: str

    def to_json(self) -> None:
        """Nothing: a phone that sends again may have changed its network."""

    @property
    def known(self) -> str | None:
        """The address, where the server was told one."""
        try:
            return str(ip_address(self.address))
        except ValueError:
            return None


@action("estimate.accept")
def accept_estimate(
    act: Act,
    *,
    estimate_pk: int,
    version_pk: int,
    choice_pk: int | None,
    how: str,
    name: str,
    strokes: str = "",
    came_from: CameFrom | None = None,
) -> None:
    """Keep which package the customer took, who said so, when and from where.

    version_pk  the version that was read: a newer one asks to be read first
    strokes     what was drawn, where it was signed
    """
    row = act.lock(CustomerEstimate, estimate_pk)
    version = _open_version(act, row, version_pk)
    if how not in HOW:
        raise Refused(say("Say how the customer agreed."), field="how")
    check_who(how=how, name=name)
    if not name.strip():
        raise Refused(say("Write your name."), field="name")
    choice = version.choices.filter(pk=choice_pk or 0).first()
    if choice is None:
        raise Refused(say("Choose one of the packages."), field="choice_pk")
    EstimateAcceptance.objects.create(
        version=version,
        choice=choice,
        how=how,
        name=name.strip(),
        address=came_from.known if came_from else None,
        signature=signature_of(strokes) if how == Agreed.SIGNATURE else None,
        by=act.tap.by,
        at=act.now,
    )
    act.event(
        row,
        "estimate_accepted",
        version=str(version.number),
        package=choice.get_package_display(),
        how=how,
        amount=choice.price,
    )


def _open_version(act: Act, row: CustomerEstimate, version_pk: int) -> EstimateVersion:
    """The version that was read, if it can be accepted; else why not."""
    version = row.versions.filter(pk=version_pk).first()
    if version is None:
        raise Refused(say("This version is not of this estimate."))
    if known := acceptance_of(version):
        raise Refused(
            say(
                "This estimate was accepted already, by {name} on {at}.",
                name=known.name,
                at=when(known.at),
            )
        )
    if version.pk != newest_version(row).pk:
        raise Refused(
            say("We have made a newer version of this estimate. Please read that one.")
        )
    if standing_booking(row):
        raise Refused(say("This estimate is booked already."))
    if row.ended_at:
        raise Refused(say("This estimate is not open any more. Please call us."))
    if has_run_out(valid_until=version.valid_until, today=today_at(act.now)):
        raise Refused(
            say(
                "This estimate ran out on {day}. Ask us for a new one.",
                day=version.valid_until,
            )
        )
    return version
