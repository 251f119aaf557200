"""A manager says which devices a PIN works on; sign-ins are ended from afar."""

from __future__ import annotations

from shopapp.frame import Act, Json, Refused, action
from shopapp.models import Device, Person, SignIn
from shopapp.say import say


@action("device.enrol")
def enrol_device(act: Act, *, device_pk: int, name: str, pin_opens: str) -> Json:
    """Name a device, and say whose work a PIN opens on it."""
    device = act.lock(Device, device_pk)
    others = Device.objects.exclude(pk=device.pk).exclude(pin_opens="")
    if others.filter(name=name).exists():
        raise Refused(say("There is one of this name already."), field="name")
    before = [device.name, device.pin_opens]
    device.name, device.pin_opens = name, pin_opens
    device.enrolled_at, device.enrolled_by = act.tap.received_at, act.by
    device.save()
    changed = {"name": [before[0], name], "pin_opens": [before[1], pin_opens]}
    return {"pk": device.pk, "changed": changed}


@action("device.revoke")
def revoke_device(act: Act, *, device_pk: int) -> Json:
    """A PIN opens nothing there any more, and whoever is signed in there is out."""
    device = act.lock(Device, device_pk)
    device.pin_opens, device.enrolled_at, device.enrolled_by = "", None, None
    device.save()
    lasting = SignIn.objects.filter(device=device, ended_at=None)
    return {"pk": device.pk, "ended": lasting.update(ended_at=act.tap.received_at)}


@action("signin.end")
def end_own_sign_in(act: Act, *, sign_in_pk: int) -> Json:
    """End one's own sign-in on another device."""
    return _end(act, sign_in_pk, person=act.by)


@action("signin.stop")
def stop_sign_in(act: Act, *, sign_in_pk: int) -> Json:
    """A manager ends anybody's."""
    return _end(act, sign_in_pk)


def _end(act: Act, pk: int, *, person: Person | None = None) -> Json:
    if person is not None and not SignIn.objects.filter(pk=pk, person=person).exists():
        raise Refused(say("This is somebody else's sign-in."))
    rows = SignIn.objects.filter(pk=pk, ended_at=None)
    rows.update(ended_at=act.tap.received_at)
    return {"pk": pk}
