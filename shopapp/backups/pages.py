"""What a manager sees of the backups."""

from __future__ import annotations

from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from shopapp.access import allow
from shopapp.backups.forms import BackupRuleForm
from shopapp.backups.queries import (
    backup_rule,
    backup_state,
    is_being_made,
    is_on_the_shops_disk,
)
from shopapp.backups.shelf import own_shelf
from shopapp.models import Backup
from shopapp.pressing import Bound, form_for

MOST = 30


@require_GET
@allow("backup.view")
def backups(request: HttpRequest, *, bound: Bound | None = None) -> HttpResponse:
    """The last backup and the last proof, when they are made, what there is."""
    known = model_to_dict(backup_rule(), fields=list(BackupRuleForm.base_fields))
    context = {
        "bound": bound,
        "form": form_for(
            lambda: BackupRuleForm(initial=known), bound, "backup_rule_change"
        ),
        "state": backup_state(now=timezone.now()),
        "rows": Backup.objects.all()[:MOST],
        "shelf": own_shelf(),
        "is_on_the_shops_disk": is_on_the_shops_disk(),
        "is_being_made": is_being_made(),
    }
    return render(request, "shopapp/backups.html", context)
