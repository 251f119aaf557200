"""When backups are made and kept, as it is typed."""

from __future__ import annotations

from django import forms
from django.utils.translation import gettext_lazy as _

from shopapp import limits
from shopapp.columns import column
from shopapp.models import BackupRule
from shopapp.settings_forms import whole


class BackupRuleForm(forms.Form):
    """One backup a night, and which ones stay."""

    at = column(BackupRule.at, _("Every night at"))
    keep_days = whole(_("Days to keep"), within=limits.KEEP_DAYS)
    keep_weeks = whole(_("Weeks to keep"), within=limits.KEEP_WEEKS)
    keep_months = whole(_("Months to keep"), within=limits.KEEP_MONTHS)
