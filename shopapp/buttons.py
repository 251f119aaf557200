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
from inspect import signature, unwrap
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_POST

from shopapp.access import View, allow
from shopapp.frame import Answer
from shopapp.pressing import Bound, press
from shopapp.say import Say


def button(
    do: Callable[..., Any],
    *,
    page: View,
    on: Callable[..., dict[str, Any]] | None = None,
    form: type[forms.BaseForm] | Callable[..., forms.BaseForm] | None = None,
    then: str | Callable[..., str] | None = None,
    undo: str = "",
    told: Say | None = None,
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
    told   a sentence for the next page
    facts  what this button says, whatever is typed
    """

    def pressed(request: HttpRequest, **kwargs: Any) -> HttpResponse:
        known = {"request": request, **kwargs}
        found = _call(on, known) if on else {}
        rest = {name: kwargs[name] for name in kwargs if not (on and _takes(on, name))}

        def back(bound: Bound) -> HttpResponse:
            shown: HttpResponse = _call(unwrap(page), {**known, "bound": bound})
            return shown

        def onward(answer: Answer) -> str:
            if callable(then):
                return str(_call(then, {**known, "answer": answer}))
            url = reverse(then) if then else _own_url(request, page)
            return f"{url}?undo={kwargs[undo]}" if undo else url

        if isinstance(form, type):
            typed = form(request.POST, request.FILES)
        else:
            typed = _call(form, known) if form else None
        more = {**rest, **found, **facts}
        return press(request, do, page=back, then=onward, form=typed, told=told, **more)

    name: str = do.action_name  # type: ignore[attr-defined]
    view: View = require_POST(allow(name)(pressed))
    view.does = do  # type: ignore[attr-defined]
    return view


def _takes(function: Callable[..., Any], name: str) -> bool:
    return name in signature(function).parameters


def _call(function: Callable[..., Any], known: dict[str, Any]) -> Any:
    asked = {name: known[name] for name in known if _takes(function, name)}
    return function(**asked)


def _own_url(request: HttpRequest, page: View) -> str:
    match = request.resolver_match
    assert match is not None
    own = {name: match.kwargs[name] for name in match.kwargs if _takes(page, name)}
    return reverse(f"{match.namespace}:{page.__name__}", kwargs=own)
