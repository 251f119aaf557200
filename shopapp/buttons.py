"""A button is a line of the URLconf.

    path(
        "workorders/<int:pk>/panels/<int:panel_pk>/lay/",
        button(lay_panel, page=workorder_panels, on=order, undo="panel_pk"),
        name="panel_lay",
    )

The functions handed to it get, by name, what their signature asks for: `request`,
the URL's arguments, and where it says so `bound` or `answer`.
"""

from __future__ import annotations

from collections.abc import Callable
from inspect import signature
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_POST

from shopapp.access import View, allow
from shopapp.frame import Answer
from shopapp.pressing import asked_for, called, press, url_of
from shopapp.say import Say


def button(
    do: Callable[..., Any],
    *,
    page: View,
    on: Callable[..., dict[str, Any]] | None = None,
    form: type[forms.BaseForm] | Callable[..., forms.BaseForm] | None = None,
    then: str | Callable[..., str] | None = None,
    undo: str = "",
    told: Say | Callable[[Answer], Say] | None = None,
    **facts: Any,
) -> View:
    """The view that performs an action; its permission is the action's own name.

    page   the page it stands on, which takes `bound`: shown again with what came back
           (422), and led to afterwards, by its own name
    on     the rows that the URL's arguments name, as facts of the action, or Http404;
           an argument that it does not take is a fact under its own name
    form   a form class, or a function that makes the form
    then   where to go instead: a URL name, or a function that returns a URL
    undo   the URL's argument by which the page offers to undo it
    told   a sentence for the next page, or a function of the answer
    facts  what this button says, whatever is typed
    """

    def pressed(request: HttpRequest, **kwargs: Any) -> HttpResponse:
        known = {"request": request, **kwargs}
        rows = called(on, **known) if on else {}
        asked = asked_for(on, kwargs) if on else ()
        rest = {name: kwargs[name] for name in kwargs if name not in asked}
        # A submission is kept under its first row: the order before its part.
        more = {**rows, **rest, **facts}
        if isinstance(form, type):
            typed = form(request.POST, request.FILES)
        else:
            typed = called(form, **known) if form else None

        def onward(answer: Answer) -> str:
            if callable(then):
                return called(then, **known, answer=answer)
            assert request.resolver_match is not None
            url = reverse(then) if then else url_of(page, request.resolver_match)
            return f"{url}?undo={kwargs[undo]}" if undo else url

        return press(request, do, page=page, then=onward, form=typed, told=told, **more)

    if "bound" not in signature(page).parameters:
        raise TypeError(f"{page.__name__} would not show what came back")
    name: str = do.action_name  # type: ignore[attr-defined]
    view: View = require_POST(allow(name)(pressed))
    view.does = do  # type: ignore[attr-defined]
    return view
