"""A paper whose file is damaged says so, and is printed again as it was."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.conf import settings
from django.urls import reverse

from jobs import tasks
from jobs.models import Paper
from jobs.papers.actions import print_again
from shopapp import background
from shopapp.backups.shelf import path_in
from shopapp.frame import perform
from shopapp.media import read_bytes
from shopapp.printing import Pdf
from tests.jobs.papers.orders import ask, make_full_order, waiting_task
from tests.makers import make_person, make_tap

pytestmark = pytest.mark.django_db


def issue(paper: Paper) -> Paper:
    tasks.issue_paper(waiting_task(paper).pk)
    paper.refresh_from_db()
    return paper


def any_pdf(html: str, *, attachments: object = ()) -> Pdf:
    """A paper of its own each time; how it is set is tested elsewhere."""
    pdf = Pdf(b"%PDF-" + uuid4().bytes)
    pdf.pages = 1
    return pdf


@pytest.fixture
def lost(manager, tmp_path, monkeypatch) -> Paper:
    """A work order on paper whose file was turned on the disk."""
    monkeypatch.setattr(settings, "MEDIA_ROOT", tmp_path)
    monkeypatch.setattr(tasks, "pdf_from_html", any_pdf)
    # A heartbeat from another thread would wait for the test's own transaction.
    monkeypatch.setattr(background, "_beat", lambda pk, stop: stop.wait())
    paper = issue(ask(make_full_order(manager), manager))
    path_in(tmp_path, paper.file.sha256).write_bytes(b"%PDF-turned")
    return paper


def test_its_page_says_so_and_offers_it_again(lost, client, manager):
    client.force_login(manager)
    url = reverse("jobs:paper_detail", args=[lost.pk])
    page = client.get(url)
    assert page.status_code == 200
    assert "damaged or missing" in page.content.decode()
    again = reverse("jobs:paper_again", args=[lost.pk])
    assert again in page.content.decode()


def test_printed_again_it_is_a_new_version_with_the_same_facts(lost, manager):
    answer = perform(make_tap(manager), print_again, paper_pk=lost.pk)
    paper = issue(Paper.objects.get(pk=answer["pk"]))
    assert (paper.version, paper.replaces, paper.facts) == (2, lost, lost.facts)
    assert read_bytes(paper.file).startswith(b"%PDF-")


def test_the_old_one_leads_to_the_newest(lost, client, manager):
    answer = perform(make_tap(manager), print_again, paper_pk=lost.pk)
    paper = issue(Paper.objects.get(pk=answer["pk"]))
    client.force_login(manager)
    page = client.get(reverse("jobs:paper_detail", args=[lost.pk]))
    assert reverse("jobs:paper_detail", args=[paper.pk]) in page.content.decode()


def test_print_does_not_answer_with_a_lost_paper(lost, manager):
    paper = ask(lost.workorder, manager)
    assert (paper.pk != lost.pk, paper.version) == (True, 2)


def test_a_whole_paper_is_not_made_twice(lost, manager):
    first = perform(make_tap(manager), print_again, paper_pk=lost.pk)
    issue(Paper.objects.get(pk=first["pk"]))
    second = perform(make_tap(manager), print_again, paper_pk=lost.pk)
    assert second["pk"] == first["pk"]
    assert Paper.objects.filter(number=lost.number).count() == 2


def test_who_may_not_read_it_does_not_print_it_again(lost, client):
    Paper.objects.filter(pk=lost.pk).update(kind=Paper.Kind.INVOICE)
    client.force_login(make_person("installer", username="ivo"))
    answer = client.post(reverse("jobs:paper_again", args=[lost.pk]), {"key": "k" * 32})
    assert answer.status_code == 404
    assert Paper.objects.filter(number=lost.number).count() == 1
