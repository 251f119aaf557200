"""The settings of the building: the shop, places, people, and one's own sign-in."""

from __future__ import annotations

from django.contrib.auth import update_session_auth_hash
from django.forms.models import model_to_dict
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_POST

from shopapp.access import allow, has_to_choose
from shopapp.actions import change_own, renew_secret
from shopapp.backups.queries import backup_state
from shopapp.changes import changes
from shopapp.device_queries import lasting_sign_ins, said_lately
from shopapp.frame import Answer
from shopapp.held_press import all_held
from shopapp.models import Person, Place, the_shop
from shopapp.one_time import password_for, pin_for
from shopapp.pressing import Bound, form_for, press
from shopapp.say import say
from shopapp.settings_forms import (
    KnownPersonForm,
    OwnForm,
    PersonForm,
    PlaceForm,
    ShopForm,
)

CHANGES_ON_A_PAGE = 200
SECRETS = ("password", "pin")


@require_GET
@allow("shop.view")
def settings(request: HttpRequest) -> HttpResponse:
    """Everything that a manager sets, and what was changed last."""
    context = {
        "changes": changes(system=the_shop().system, most=5),
        "backups": backup_state(now=timezone.now()),
        "sign_ins": said_lately(now=timezone.now()),
    }
    return render(request, "shopapp/settings.html", context)


@require_GET
@allow("shop.view")
def settings_changes(request: HttpRequest) -> HttpResponse:
    """What was changed, by whom and when."""
    found = changes(system=the_shop().system, most=CHANGES_ON_A_PAGE)
    return render(request, "shopapp/settings_changes.html", {"changes": found})


@require_GET
@allow("look.view")
def look(request: HttpRequest) -> HttpResponse:
    """The living page of every piece a page may use."""
    return render(request, "shopapp/look.html")


@require_GET
@allow("shop.view")
def shop_settings(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Name, hours, units, paper."""
    known = model_to_dict(the_shop(), fields=list(ShopForm.base_fields))
    form = form_for(lambda: ShopForm(initial=known), bound, "shop_change")
    return render(request, "shopapp/shop_settings.html", {"bound": bound, "form": form})


@require_GET
@allow("shop.view")
def places(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Yard, wash, settling corner."""
    rows = list(Place.objects.all())
    forms = [
        form_for(
            lambda row=row: PlaceForm(initial=model_to_dict(row)),
            bound,
            "place_change",
            pk=row.pk,
        )
        for row in rows
    ]
    fresh = {"room_for": 1, "is_indoors": True, "position": len(rows) + 1}
    context = {
        "bound": bound,
        "rows": list(zip(rows, forms, strict=True)),
        "form": form_for(lambda: PlaceForm(initial=fresh), bound, "place_add"),
    }
    return render(request, "shopapp/places.html", context)


@require_GET
@allow("person.change")
def people(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """Who works here."""
    context = {
        "bound": bound,
        "people": Person.objects.order_by("-is_active", "first_name", "pk"),
        "form": form_for(PersonForm, bound, "person_add"),
    }
    return render(request, "shopapp/people.html", context)


def to_new_person(request: HttpRequest, answer: Answer) -> str:
    """The page of a new person, which shows the password and PIN, once."""
    return _to_person(request, answer, SECRETS)


def _to_person(request: HttpRequest, answer: Answer, what: tuple[str, ...]) -> str:
    # The key alone is kept, and only until the next page: it is not the secret.
    pk = answer["pk"]
    request.session["fresh"] = {"pk": pk, "key": request.POST["key"], "what": what}
    return reverse("shopapp:person_detail", args=[pk])


@require_GET
@never_cache
@allow("person.change")
def person_detail(
    request: HttpRequest, pk: int, *, bound: Bound | None = None
) -> HttpResponse:
    """One person: roles, skills, a new password or PIN."""
    person = get_object_or_404(Person, pk=pk)
    known = model_to_dict(person, fields=list(KnownPersonForm.base_fields))
    context = {
        "bound": bound,
        "row": person,
        "form": form_for(
            lambda: KnownPersonForm(initial=known), bound, "person_change"
        ),
        "fresh": _fresh(request, pk),
        "secrets": [("password", _("New password")), ("pin", _("New PIN"))],
    }
    return render(request, "shopapp/person_detail.html", context)


def _fresh(request: HttpRequest, pk: int) -> list[tuple[str, str]]:
    """The password and PIN that were just made for this person, told once."""
    if request.session.get("fresh", {}).get("pk") != pk:
        return []
    made = request.session.pop("fresh")
    told = {
        "password": (_("Password"), password_for(made["key"])),
        "pin": (_("PIN"), pin_for(made["key"])),
    }
    return [told[what] for what in made["what"]]


@require_POST
@allow("person.renew")
def person_renew(request: HttpRequest, pk: int, what: str) -> HttpResponse:
    """Make a new password or PIN; the next page shows it, once."""
    get_object_or_404(Person, pk=pk)
    if what not in SECRETS:
        raise Http404
    response = press(
        request,
        renew_secret,
        page=person_detail,
        then=lambda answer: _to_person(request, answer, (what,)),
        person_pk=pk,
        what=what,
        sign_in_pk=_this_sign_in(request),
    )
    return _still_signed_in(request, response)


def _still_signed_in(request: HttpRequest, response: HttpResponse) -> HttpResponse:
    """A new password of one's own ends the other sign-ins, and not this one."""
    _me(request).refresh_from_db()
    if response.status_code == 303:
        update_session_auth_hash(request, _me(request))
    return response


@require_GET
@never_cache
@allow("person.own")
def own(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """One's own name, roles, password and PIN, and where one is signed in."""
    context = {
        "bound": bound,
        "form": form_for(lambda: OwnForm(request=request), bound, "own_change"),
        "lasting": lasting_sign_ins(now=timezone.now(), person=_me(request)),
        "this_one": _this_sign_in(request),
        "has_to_choose": has_to_choose(_me(request)),
    }
    return render(request, "shopapp/own.html", context)


def _this_sign_in(request: HttpRequest) -> int:
    return int(request.session.get("sign_in_pk") or 0)


def _me(request: HttpRequest) -> Person:
    assert isinstance(request.user, Person)
    return request.user


@require_POST
@sensitive_post_parameters()
@allow("person.own")
def own_change(request: HttpRequest) -> HttpResponse:
    """Choose one's own password or PIN; this sign-in goes on."""
    # What was pressed before the password had to be chosen waits no longer.
    waits = next(reversed(all_held(request)), "") if has_to_choose(_me(request)) else ""
    then = reverse("shopapp:press_again", args=[waits]) if waits else None
    response = press(
        request,
        change_own,
        form=OwnForm(request.POST, request=request),
        page=own,
        then=then,
        told=say("Kept. Use it from now on."),
        sign_in_pk=_this_sign_in(request),
    )
    return _still_signed_in(request, response)
