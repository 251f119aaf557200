"""The building's pages: the way in, the content policy, the zone, health."""

from __future__ import annotations

import io
import re

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.http import HttpResponse
from django.test import RequestFactory
from django.utils import timezone

from shopapp import health, views
from shopapp.context import ways
from shopapp.models import BackgroundTask, Shop
from shopapp.security import POLICY, ShopZoneMiddleware
from shopapp.urls import building
from tests.makers import make_person

pytestmark = pytest.mark.django_db


def test_who_is_not_signed_in_is_asked_to(client):
    response = client.get("/")
    assert response.status_code == 302
    assert response["Location"] == "/sign-in/?next=/"


def test_the_policy_allows_no_inline_script_and_no_inline_style():
    rules = dict(rule.split(" ", 1) for rule in POLICY.split("; "))
    assert rules["default-src"] == "'none'"
    assert rules["script-src"] == rules["style-src"] == "'self'"
    assert "unsafe" not in POLICY


@pytest.mark.parametrize("address", ["/sign-in/", "/trust/", "/healthz", "/absent/"])
def test_every_answer_carries_the_policy(client, address):
    response = client.get(address)
    assert response["Content-Security-Policy"] == POLICY
    assert response["X-Frame-Options"] == "DENY"


@pytest.mark.parametrize("address", ["/sign-in/", "/trust/", "/switch/"])
def test_a_page_holds_no_inline_script_or_style(client, manager, address):
    client.force_login(manager)
    page = client.get(address).content.decode()
    assert "<main" in page
    assert not re.search(r"<script(?![^>]*\bsrc=)|<style|\sstyle=|\son\w+=", page)


def test_who_only_lays_film_comes_to_their_work(client, installer):
    client.force_login(installer)
    assert client.get("/")["Location"] == "/work/"


@pytest.mark.parametrize("roles", [["desk"], ["manager"], ["desk", "installer"]])
def test_everyone_else_comes_to_the_floor(client, roles):
    client.force_login(make_person(*roles))
    assert client.get("/")["Location"] == "/floor/"


def test_a_stranger_is_let_in_nowhere(client, stranger):
    client.force_login(stranger)
    assert client.get("/").status_code == 403


def test_the_way_around_shows_only_what_one_may_do(rf, desk, stranger):
    request = rf.get("/floor/")
    request.user = desk
    shown = ways(request)
    assert "Settings" not in [str(way.label) for way in shown]
    assert [way.url for way in shown if way.current] == ["/floor/"]
    request.user = stranger
    assert ways(request) == []


def test_times_are_shown_in_the_zone_of_the_shop(rf: RequestFactory):
    Shop.objects.filter(pk=1).update(time_zone="Pacific/Auckland")
    seen = []

    def page(request):
        seen.append(timezone.get_current_timezone_name())
        return HttpResponse()

    request = rf.get("/")
    middleware = ShopZoneMiddleware(page)
    middleware(request)
    middleware.process_view(request, page, [], {})
    page(request)
    assert seen == ["UTC", "Pacific/Auckland"]
    timezone.deactivate()


def test_the_zone_of_one_request_does_not_stay_for_the_next(client):
    client.get("/sign-in/")
    assert timezone.get_current_timezone_name() == "UTC"


def test_a_living_process_says_so_without_its_store(client, django_assert_num_queries):
    with django_assert_num_queries(0):
        response = client.get("/healthz")
    assert (response.status_code, response.content) == (200, b"ok")


def test_without_redis_the_shop_is_not_ready_and_status_says_why(
    client, settings, tmp_path
):
    settings.REDIS_URL = f"unix://{tmp_path}/absent.sock"
    response = client.get("/readyz")
    assert response.status_code == 503
    # To whoever asks from outside: no path, no address, no version.
    assert response.json() == {"ready": False}
    out = io.StringIO()
    with pytest.raises(CommandError, match="not ready"):
        call_command("status", stdout=out)
    assert re.search(r"^database +ok$", out.getvalue(), re.MULTILINE)
    assert re.search(r"^migrations +ok$", out.getvalue(), re.MULTILINE)
    assert re.search(r"^redis .*absent\.sock", out.getvalue(), re.MULTILINE)


@pytest.mark.redis
def test_with_its_store_and_redis_the_shop_is_ready(client, settings, redis_url):
    settings.REDIS_URL = redis_url
    response = client.get("/readyz")
    assert response.status_code == 200
    assert response.json()["ready"] is True


@pytest.mark.redis
def test_a_task_that_waits_too_long_is_told(settings, redis_url):
    settings.REDIS_URL = redis_url
    made_at = timezone.now() - 2 * health.WAITS_TOO_LONG
    BackgroundTask.objects.create(kind="papers.x", subject="1", made_at=made_at)
    found = health.look()
    assert not found.ready
    assert found.oldest_waiting_s >= 1200


def test_a_store_that_lacks_a_migration_is_told():
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'jobs'")
    assert "are not applied" in health.look().migrations


def test_a_number_opens_to_its_formula_and_source(client, installer):
    client.force_login(installer)
    page = client.get("/figures/mixing.chemistry.alcohol.mass_fraction/")
    assert page.status_code == 200
    assert "Source:" in page.content.decode()


@pytest.mark.parametrize(
    "name", ["os.system", "shopapp.settings.SECRET_KEY", "jobs.absent.x", "mixing"]
)
def test_only_our_formulas_can_be_opened(client, installer, name):
    client.force_login(installer)
    assert client.get(f"/figures/{name}/").status_code == 404


def test_every_view_of_the_building_names_its_permission_or_is_open():
    for pattern in building:
        assert hasattr(pattern.callback, "permission"), pattern.name
    opened = {p.name for p in building if pattern_is_open(p)}
    assert opened == {
        "first_manager",
        "sign_in",
        "sign_out",
        "trust",
        "trust_certificate",
        "healthz",
        "readyz",
    }
    assert views.home.permission == "home.view"


def pattern_is_open(pattern) -> bool:
    return getattr(pattern.callback, "login_required", True) is False
