"""Two people open a new shop at the same moment."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.utils import timezone

from shopapp.first_manager import Secret, name_first_manager
from shopapp.frame import Tap, perform
from shopapp.models import Person
from tests.rivals import at_once, refusals


@pytest.mark.postgres
@pytest.mark.django_db(transaction=True)
def test_of_two_first_managers_one_is_made_and_the_other_reads_why():
    def name(username):
        tap = Tap.made_by(None, at=timezone.now(), via="page", key=uuid4().hex)
        facts = {"first_name": username.title(), "username": username}
        return perform(
            tap, name_first_manager, password=Secret("film and water"), **facts
        )

    answers = at_once(lambda: name("rosa"), lambda: name("remy"))
    assert refusals(answers) == ["Somebody was quicker: this shop has its manager."]
    assert Person.objects.count() == 1
