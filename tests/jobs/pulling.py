"""Planning a pull and taking its film, pressed as on the pages."""

from __future__ import annotations

from django.urls import reverse

from jobs.models import Pull
from jobs.pulls.stored import pull_from_json


def film_url(order):
    return reverse("jobs:workorder_film", args=[order.pk])


def plan(client, order, key="p" * 16):
    response = client.post(reverse("jobs:pull_plan", args=[order.pk]), {"key": key})
    assert response.status_code == 303, response.content.decode()
    return Pull.objects.filter(workorder=order, state="planned").get()


def confirm_data(pull, **changed):
    plan = pull_from_json(pull.plan).plan
    data = {"key": "c" * 16}
    for at, (code, length) in enumerate(plan.pulls):
        data |= {f"roll_{at}": code, f"length_{at}": str(length)}
    for at, _piece in enumerate(plan.new_offcuts):
        data |= {f"keep_{at}": "on", f"place_{at}": "rack 3"}
    return data | changed


def confirm(client, pull, **changed):
    url = reverse("jobs:pull_confirm", args=[pull.workorder_id, pull.pk])
    return client.post(url, confirm_data(pull, **changed))


def plan_together(client, two):
    film = two[0].film
    url = reverse("jobs:pull_day_plan", args=[film.pk])
    data = {"key": "t" * 16, f"film-{film.pk}-workorders": [o.pk for o in two]}
    assert client.post(url, data).status_code == 303
    return list(Pull.objects.filter(state="planned").order_by("workorder"))


def replan(client, pull, **typed):
    url = reverse("jobs:pull_replan", args=[pull.workorder_id, pull.pk])
    return client.post(url, {**confirm_data(pull), **typed, "key": "r" * 16})
