"""From a POST to an action and back: one button, one URL.

`press` checks the form, performs the action and leads on. When the form is wrong
or the rules refuse, it shows the page again with what was typed and why.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from inspect import signature, unwrap
from typing import Any, TypeVar

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import resolve_url
from django.urls import ResolverMatch, reverse
from django.utils import timezone

from shopapp.frame import Answer, Refused, Tap, perform
from shopapp.models import Device, HistoryEntry, Person, the_shop
from shopapp.say import Say, say
from shopapp.telling import tell

F = TypeVar("F", bound=forms.BaseForm)
T = TypeVar("T")
MOST_OFFLINE = timedelta(days=7)


@dataclass(frozen=True, kw_only=True)
class Bound:
    """A form that came back: what was typed, and why it was not accepted.

    url_name  the URL name of the button that was pressed, "workorder_advance"
    subject   tells the same button of two rows apart: the view's keyword arguments
    """

    url_name: str
    subject: dict[str, Any]
    form: forms.BaseForm | None
    reasons: tuple[Say, ...]

    def is_for(self, url_name: str, **subject: Any) -> bool:
        """True when this button of this row was pressed."""
        return self.url_name == url_name and all(
            str(self.subject.get(name)) == str(value) for name, value in subject.items()
        )


Page = Callable[..., HttpResponse]


def press(
    request: HttpRequest,
    do: Callable[..., Any],
    *,
    page: Page,
    then: str | Callable[[Answer], str] | None = None,
    form: forms.BaseForm | None = None,
    told: Say | Callable[[Answer], Say] | None = None,
    via: str = HistoryEntry.Via.PAGE,
    **facts: Any,
) -> HttpResponse:
    """Perform an action for a POST.

    do     the action; gets `facts` and the form's cleaned data
    page   the page that holds the button, shown with what came back as `bound` (422)
    then   where to go after it: a URL, or a function of the answer; else to the page
    told   a sentence for the next page, or a function of the answer
    via    by what way it came: a page of ours, or a customer's link
    """
    match = request.resolver_match
    assert match is not None

    def back(*reasons: Say) -> HttpResponse:
        bound = Bound(
            url_name=match.url_name or "",
            subject=dict(match.kwargs),
            form=form,
            reasons=reasons,
        )
        # Without its decorators: they would refuse the POST.
        known = {**match.kwargs, "request": request, "bound": bound}
        response: HttpResponse = called(unwrap(page), **known)
        response.status_code = 422
        return response

    key = request.POST.get("key", "")
    if not 8 <= len(key) <= 64 or not key.isprintable():
        return back(say("This page was out of date. Look it over and send it again."))
    if form is not None:
        if not form.is_valid():
            return back()
        facts |= form.cleaned_data
    try:
        answer = perform(tap_of(request, key=key, via=via), do, **facts)
    except Refused as refused:
        if form is not None and refused.field in form.fields:
            for reason in refused.reasons:
                form.add_error(refused.field, tell(reason, system=the_shop().system))
            return back()
        return back(*refused.reasons)
    if told is not None:
        said = told(answer) if callable(told) else told
        messages.success(request, tell(said, system=the_shop().system))
    url = then(answer) if callable(then) else resolve_url(then or url_of(page, match))
    response = HttpResponseRedirect(url)
    response.status_code = 303
    return response


def url_of(page: Page, match: ResolverMatch) -> str:
    """A page's own address: its function's name, what it takes of the arguments."""
    own = asked_for(page, match.kwargs)
    return reverse(f"{match.namespace}:{page.__name__}", kwargs=own)


def asked_for(function: Callable[..., Any], known: dict[str, Any]) -> dict[str, Any]:
    """What a function's signature asks for by name, of what is known."""
    return {
        name: known[name] for name in signature(function).parameters if name in known
    }


def called(function: Callable[..., T], /, **known: Any) -> T:
    """What it returns for what its signature asks for."""
    return function(**asked_for(function, known))


def tap_of(request: HttpRequest, *, key: str, via: str = HistoryEntry.Via.PAGE) -> Tap:
    """Who pressed and when, by the device's clock corrected by its known offset."""
    now = timezone.now()
    device = Device.objects.filter(pk=request.session.get("device_pk") or 0).first()
    # What comes by a customer's link is the customer's, whoever is signed in here.
    person = request.user if isinstance(request.user, Person) else None
    if via == HistoryEntry.Via.LINK:
        person = None
    return Tap(
        key=key,
        by=person,
        device=device,
        done_at=_done_at(request, now=now, device=device),
        received_at=now,
        via=via,
    )


def _done_at(request: HttpRequest, *, now: datetime, device: Device | None) -> datetime:
    done, sent = _clock(request, "done_at"), _clock(request, "sent_at")
    if sent is not None and device is not None:
        offset = (now - sent).total_seconds()
        Device.objects.filter(pk=device.pk).update(clock_offset_s=offset)
        device.clock_offset_s = offset
    if done is None:
        return now
    corrected = done + timedelta(seconds=device.clock_offset_s if device else 0)
    # A clock that claims the future or a week ago is not believed.
    return corrected if now - MOST_OFFLINE < corrected <= now else now


def _clock(request: HttpRequest, name: str) -> datetime | None:
    text = request.POST.get(name, "")
    # Thirteen digits of milliseconds reach to the year 2286.
    if not text.isascii() or not text.isdigit() or len(text) > 13:
        return None
    return datetime.fromtimestamp(int(text) / 1000, tz=UTC)


def form_for(
    make: Callable[..., F], bound: Bound | None, url_name: str, /, **subject: Any
) -> F:
    """The form that came back for this button, or a fresh one made by `make`.

    Its fields' ids carry button and row, so that many forms fit on one page.
    """
    if bound and bound.form is not None and bound.is_for(url_name, **subject):
        form: F = bound.form  # type: ignore[assignment]
    else:
        form = make()
    parts = (url_name, *map(str, subject.values()))
    form.auto_id = f"id-{'-'.join(parts)}-%s"
    return form
