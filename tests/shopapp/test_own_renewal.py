"""Whoever renews a password of their own is told it, and goes on."""

from __future__ import annotations

import pytest
from django.urls import reverse

pytestmark = pytest.mark.django_db


def test_a_manager_who_renews_her_own_password_sees_it_and_stays_signed_in(
    client, manager
):
    client.force_login(manager)
    url = reverse("shopapp:person_renew", args=[manager.pk, "password"])
    answer = client.post(url, {"key": "k" * 16})
    assert answer.status_code == 303
    page = client.get(answer.url)
    assert page.status_code == 200, "she was signed out"
    ((_name, password),) = page.context["fresh"]
    manager.refresh_from_db()
    assert manager.check_password(password)
    assert password in page.content.decode()


def test_the_password_of_another_ends_the_others_sign_in_alone(
    client, manager, installer
):
    client.force_login(installer)
    other = type(client)()
    other.force_login(manager)
    url = reverse("shopapp:person_renew", args=[installer.pk, "password"])
    other.post(url, {"key": "k" * 16})
    assert client.get("/floor/").status_code == 302
    assert other.get("/floor/").status_code == 200
