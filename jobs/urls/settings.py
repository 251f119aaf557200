"""What a manager sets of the work: rules, acceptance, settling, laying, checklists."""

from __future__ import annotations

from django.urls import URLPattern, path

from jobs.additions.forms import MenuWorkForm
from jobs.additions.menu_actions import change_menu_work
from jobs.additions.menu_pages import menu_of_work
from jobs.crews.actions import change_shifts
from jobs.crews.forms import ShiftForm
from jobs.crews.pages import person_hours
from jobs.cure.actions import change_cure_table
from jobs.cure.forms import CureForm
from jobs.cure.pages import cure_table
from jobs.estimates.actions import change_estimate_rule
from jobs.estimates.forms import EstimateRuleForm
from jobs.estimates.pages import estimate_rules
from jobs.mail.actions import try_mail
from jobs.mail.forms import MailRuleForm, TrialForm, WordsForm
from jobs.mail.pages import known_words, mail_look, mail_settings, mail_words
from jobs.mail.setting_actions import change_mail_rule, reword_mail
from jobs.models import Checklist, MenuWork
from jobs.package_hours.actions import change_hours
from jobs.package_hours.pages import hours_form, known_package, package_hours
from jobs.plan.rule_actions import change_plan_rule
from jobs.plan.rule_forms import PlanRuleForm
from jobs.rules.actions import (
    change_acceptance,
    change_checklist,
    change_rules,
    enforce_rules,
)
from jobs.rules.forms import AcceptanceForm, RulesForm
from jobs.rules.pages import (
    acceptance,
    checklist_detail,
    checklist_form,
    checklists,
    rules,
)
from jobs.solutions.laying_actions import change_laying
from jobs.solutions.laying_forms import LayingForm
from jobs.solutions.laying_pages import laying
from shopapp.buttons import button
from shopapp.models import Person
from shopapp.rows import by_pk
from shopapp.say import say

KEPT = say("Kept.")

urlpatterns: list[URLPattern] = [
    path("mail/", mail_settings, name="mail_settings"),
    path(
        "mail/change/",
        button(change_mail_rule, page=mail_settings, form=MailRuleForm, told=KEPT),
        name="mail_change",
    ),
    path(
        "mail/try/",
        button(
            try_mail,
            page=mail_settings,
            form=TrialForm,
            told=say("The trial goes out. Load this page again in a moment."),
        ),
        name="mail_try",
    ),
    path("mail/<slug:kind>/<slug:language>/", mail_words, name="mail_words"),
    path("mail/<slug:kind>/<slug:language>/look/", mail_look, name="mail_look"),
    path(
        "mail/<slug:kind>/<slug:language>/change/",
        button(
            reword_mail,
            page=mail_words,
            on=known_words,
            form=WordsForm,
            told=KEPT,
        ),
        name="mail_reword",
    ),
    path(
        "mail/<slug:kind>/<slug:language>/usual/",
        button(
            reword_mail,
            page=mail_words,
            on=known_words,
            told=say("The usual words again."),
            subject="",
            words="",
            text="",
        ),
        name="mail_usual",
    ),
    path("rules/", rules, name="rules"),
    path(
        "rules/change/",
        button(change_rules, page=rules, form=RulesForm, told=KEPT),
        name="rules_change",
    ),
    path(
        "rules/enforce/",
        button(enforce_rules, page=rules, told=KEPT),
        name="rules_enforce",
    ),
    path("acceptance/", acceptance, name="acceptance"),
    path(
        "acceptance/change/",
        button(
            change_acceptance,
            page=acceptance,
            form=AcceptanceForm,
            told=say("Kept. It holds for what is found from now on."),
        ),
        name="acceptance_change",
    ),
    path("estimates/", estimate_rules, name="estimate_rules"),
    path(
        "estimates/change/",
        button(
            change_estimate_rule,
            page=estimate_rules,
            form=EstimateRuleForm,
            told=KEPT,
        ),
        name="estimate_rules_change",
    ),
    path("cure/", cure_table, name="cure_table"),
    path(
        "cure/change/",
        button(change_cure_table, page=cure_table, form=CureForm, told=KEPT),
        name="cure_change",
    ),
    path("people/<int:pk>/hours/", person_hours, name="person_hours"),
    path(
        "people/<int:pk>/hours/change/",
        button(
            change_shifts,
            page=person_hours,
            on=by_pk(Person, "person_pk"),
            form=ShiftForm,
            told=KEPT,
        ),
        name="shift_change",
    ),
    path("package-hours/", package_hours, name="package_hours"),
    path(
        "package-hours/plan/change/",
        button(change_plan_rule, page=package_hours, form=PlanRuleForm, told=KEPT),
        name="plan_rule_change",
    ),
    path(
        "package-hours/<slug:package>/change/",
        button(
            change_hours,
            page=package_hours,
            on=known_package,
            form=hours_form,
            told=KEPT,
        ),
        name="package_hours_change",
    ),
    path("other-work/", menu_of_work, name="menu_of_work"),
    path(
        "other-work/add/",
        button(change_menu_work, page=menu_of_work, form=MenuWorkForm, told=KEPT),
        name="menu_work_add",
    ),
    path(
        "other-work/<int:pk>/change/",
        button(
            change_menu_work,
            page=menu_of_work,
            on=by_pk(MenuWork, "work_pk"),
            form=MenuWorkForm,
            told=KEPT,
            then="jobs:menu_of_work",
        ),
        name="menu_work_change",
    ),
    path("laying/", laying, name="laying"),
    path(
        "laying/change/",
        button(
            change_laying,
            page=laying,
            form=LayingForm,
            told=say("Kept. It holds for sheets and bottles from now on."),
        ),
        name="laying_change",
    ),
    path("checklists/", checklists, name="checklists"),
    path("checklists/<int:pk>/", checklist_detail, name="checklist_detail"),
    path(
        "checklists/<int:pk>/change/",
        button(
            change_checklist,
            page=checklist_detail,
            on=by_pk(Checklist, "checklist_pk"),
            form=checklist_form,
            told=say("Kept as a new version. Cars in the shop keep theirs."),
        ),
        name="checklist_change",
    ),
]
