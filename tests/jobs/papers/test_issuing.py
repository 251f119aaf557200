"""Papers are asked for once, issued once, and never changed after."""

from __future__ import annotations

import hashlib
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from jobs import tasks
from jobs.models import Film, Paper, WorkOrderEvent
from jobs.papers.actions import paper_issued
from jobs.stages.table import Stage
from jobs.workorders.actions import place_car
from jobs.workorders.history_queries import history_of
from mixing.models import Recipe, RecipeVersion
from shopapp import background
from shopapp.frame import Refused, perform
from shopapp.media import keep_bytes, read_bytes
from shopapp.models import BackgroundTask, Shop
from tests.jobs.papers.orders import ask, make_full_order, waiting_task
from tests.jobs.taps import tap
from tests.makers import NOW, make_place, make_tap, make_workorder

pytestmark = pytest.mark.django_db


@pytest.fixture
def order(manager):
    return make_full_order(manager)


def issue(paper):
    tasks.issue_paper(waiting_task(paper).pk)
    paper.refresh_from_db()
    return paper


def test_a_paper_is_issued_by_the_worker_and_kept(order, manager):
    paper = issue(ask(order, manager))
    assert paper.state == Paper.State.ISSUED
    assert paper.number == f"{order.number}-WO"
    assert (paper.version, paper.size) == (1, "A4")
    kept = read_bytes(paper.file)
    assert kept.startswith(b"%PDF-")
    assert hashlib.sha256(kept).hexdigest() == paper.file.sha256
    what = WorkOrderEvent.objects.filter(workorder=order).values_list("what", flat=True)
    assert {"paper_asked", "paper_issued"} <= set(what)


def test_asking_again_while_nothing_changed_gives_the_same_paper(order, manager):
    first = issue(ask(order, manager))
    again = ask(order, manager, at=NOW + timedelta(minutes=5))
    assert again.pk == first.pk
    assert not BackgroundTask.objects.filter(
        kind="papers.issue", state="waiting"
    ).exists()
    told = [line.what for line in history_of(order)]
    assert "Paper asked for again: work order" in told


def test_a_change_gives_a_new_version_that_names_what_it_replaces(order, manager):
    first = issue(ask(order, manager))
    order.key_tag = "88"
    order.save()
    second = ask(order, manager)
    assert (second.version, second.replaces) == (2, first)
    first.refresh_from_db()
    assert first.state == Paper.State.ISSUED


def test_another_size_is_another_version(order, manager):
    first, second = ask(order, manager), ask(order, manager, size="Letter")
    assert [first.version, second.version] == [1, 2]


def test_an_issued_paper_outlives_recipe_film_zone_and_template(
    order, manager, client, monkeypatch
):
    paper = issue(ask(order, manager))
    url = reverse("jobs:paper_detail", args=[paper.pk])
    client.force_login(manager)
    before = client.get(url).content
    newest = RecipeVersion.objects.filter(recipe__kind="tack").first()
    RecipeVersion.objects.create(
        recipe=newest.recipe,
        number=newest.number + 1,
        spec={**newest.spec, "vv_pct": 12.0},
        why="weaker",
    )
    Recipe.objects.filter(kind="slip").update(name="another name")
    Film.objects.update(name="film Z")
    Shop.objects.update(time_zone="Asia/Tokyo", name="Another shop")
    monkeypatch.setattr(
        "jobs.papers.html_facts.paper_html", lambda paper: "<p>other</p>"
    )
    assert client.get(url).content == before
    page = client.get(reverse("jobs:workorder_papers", args=[order.pk]))
    assert paper.number in page.content.decode()
    assert (
        client.get(reverse("jobs:workorder_detail", args=[order.pk])).status_code == 200
    )


def test_a_second_rendering_never_replaces_the_first(order, manager):
    paper = issue(ask(order, manager))
    other = keep_bytes(b"%PDF-other", "application/pdf")
    perform(
        make_tap(manager), paper_issued, paper_pk=paper.pk, file_pk=other.pk, pages=9
    )
    kept = Paper.objects.get(pk=paper.pk)
    assert (kept.file_id, kept.pages) == (paper.file_id, paper.pages)


def test_a_worker_that_dies_leaves_the_paper_to_the_next(order, manager):
    paper = ask(order, manager)
    task = waiting_task(paper)
    long_ago = timezone.now() - timedelta(minutes=5)
    BackgroundTask.objects.filter(pk=task.pk).update(
        state="running", attempts=1, heartbeat_at=long_ago, rung_at=long_ago
    )
    assert task.pk in background.sweep()
    tasks.issue_paper(task.pk)
    paper.refresh_from_db()
    assert paper.state == Paper.State.ISSUED


def test_a_paper_that_cannot_be_made_says_so_and_can_be_asked_for_again(
    order, manager, client
):
    paper = ask(order, manager)
    BackgroundTask.objects.filter(subject=f"paper {paper.pk}").update(state="failed")
    client.force_login(manager)
    page = client.get(reverse("jobs:workorder_papers", args=[order.pk]))
    assert "Could not be made" in page.content.decode()
    assert ask(order, manager).pk == paper.pk
    assert waiting_task(paper)


def test_a_paper_asked_for_twice_at_once_is_one(order, manager, client):
    client.force_login(manager)
    for _ in range(2):
        answer = tap(
            client, "paper_issue", order.pk, key="k" * 16, kind="care", size="A4"
        )
        assert answer.status_code == 303
    assert Paper.objects.filter(kind="care").count() == 1


def test_the_page_polls_while_a_paper_is_being_made(order, manager, client):
    client.force_login(manager)
    url = reverse("jobs:workorder_papers", args=[order.pk])
    assert "every 2s" not in client.get(url).content.decode()
    paper = ask(order, manager)
    assert "every 2s" in client.get(url).content.decode()
    waiting = client.get(reverse("jobs:paper_detail", args=[paper.pk]))
    assert "being made" in waiting.content.decode()


def test_the_pdf_opens_in_the_browser_under_its_own_name(order, manager, client):
    paper = issue(ask(order, manager))
    client.force_login(manager)
    answer = client.get(reverse("jobs:paper_detail", args=[paper.pk]))
    assert answer["Content-Type"] == "application/pdf"
    name = f"{order.number}-WO-v1-A4.pdf"
    assert answer["Content-Disposition"] == f'inline; filename="{name}"'


def test_a_stranger_reads_no_paper(order, manager, stranger, client):
    paper = issue(ask(order, manager))
    client.force_login(stranger)
    assert client.get(reverse("jobs:paper_detail", args=[paper.pk])).status_code == 403


@pytest.mark.parametrize(
    ("kind", "size"), [("invoice", "A4"), ("work_order", "A0"), ("vessel_label", "A4")]
)
def test_a_paper_that_there_is_not_is_refused(order, manager, kind, size):
    with pytest.raises(Refused):
        ask(order, manager, kind=kind, size=size)
    assert not Paper.objects.exists()


def test_no_cut_list_before_a_pull_is_planned(manager):
    with pytest.raises(Refused, match="Plan the pull"):
        ask(make_workorder(), manager, kind="cut_list")


def test_moving_the_car_gives_a_new_version(order, manager):
    ask(order, manager)
    yard = make_place()
    perform(make_tap(manager), place_car, workorder_pk=order.pk, bay=None, place=yard)
    assert ask(order, manager).version == 2
    assert order.stage_now is Stage.INSTALL
