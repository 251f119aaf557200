"""What a customer reads is there in Spanish; the shop's own pages stay English."""

from __future__ import annotations

import ast
import gettext as catalogues
import re
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.utils import timezone, translation
from django.utils.translation import templatize, trans_real

from jobs.condition.marks import mark_kinds
from jobs.condition.queries import SEVERITIES
from jobs.coverage.car_drawing import WORDS
from jobs.coverage.catalogue import Body, Package, panel_name, panels_on
from jobs.models import (
    Customer,
    CustomerLink,
    CustomerReport,
    FinalLook,
    Mark,
    OrderPanel,
    Paper,
    WorkOrder,
)
from jobs.papers.actions import issue_paper
from jobs.papers.html_facts import paper_html
from jobs.public import customer_words
from jobs.public.link_queries import hash_of, token_of
from jobs.public.spoken import is_for_customers
from shopapp.models import Shop
from tests.furnished import do
from tests.makers import make_booking, make_person, make_workorder

ROOT = Path(settings.BASE_DIR)
FOLDER = ROOT / "jobs" / "locale" / "es" / "LC_MESSAGES"


def written() -> dict[str, list[str]]:
    """The catalogue as it is committed: each sentence with its translations."""
    found = {}
    for block in (FOLDER / "django.po").read_text().split("\n\n")[1:]:
        parts = re.findall(r'^(msg\S+) ((?:".*"\n?)+)', block, re.MULTILINE)
        said = {
            key: "".join(ast.literal_eval(line) for line in text.strip().split("\n"))
            for key, text in parts
        }
        found[said["msgid"]] = [
            text for key, text in said.items() if key.startswith("msgstr")
        ]
    return found


def marked_in(path: Path) -> set[str]:
    """The sentences that a file marks for translation."""
    text = path.read_text()
    if path.suffix == ".html":
        text = templatize(text)
        calls = re.findall(r"\bn?gettext\((u?(?:'.*?(?<!\\)'|\".*?(?<!\\)\"))", text)
        return {ast.literal_eval(call) for call in calls}
    names = {"_", "say", "gettext", "gettext_lazy", "ngettext", "ngettext_lazy"}
    return {
        node.args[0].value
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Call)
        and getattr(node.func, "id", "") in names
        and node.args
        and isinstance(node.args[0], ast.Constant)
    }


def spoken_files() -> list[Path]:
    found = [*ROOT.glob("templates/**/*.html"), *ROOT.glob("jobs/**/*.py")]
    found += ROOT.glob("shopapp/*.py")
    return [path for path in found if is_for_customers(str(path.relative_to(ROOT)))]


def test_every_sentence_for_customers_is_in_the_catalogue():
    known, files = written(), spoken_files()
    assert len(files) > 20
    missing = {
        (str(path.relative_to(ROOT)), sentence)
        for path in files
        for sentence in marked_in(path)
        if sentence not in known
    }
    assert missing == set()


def test_every_sentence_of_the_catalogue_has_its_spanish_and_its_values():
    for sentence, spanish in written().items():
        assert spanish, sentence
        assert all(spanish), sentence
        values = re.compile(r"\{\w+\}|%\(\w+\)s")
        for text in spanish:
            if len(spanish) == 1:
                assert sorted(values.findall(text)) == sorted(values.findall(sentence))
        assert values.findall(spanish[-1]) or len(spanish) == 1, sentence


def test_the_compiled_catalogue_is_that_of_the_text():
    with (FOLDER / "django.mo").open("rb") as compiled:
        known = catalogues.GNUTranslations(compiled)
    kept = known._catalog  # type: ignore[attr-defined]
    texts = written()
    singular = {key: [text] for key, text in kept.items() if isinstance(key, str)}
    plural: dict[str, list[str]] = {}
    for key, text in sorted((k, t) for k, t in kept.items() if isinstance(k, tuple)):
        plural.setdefault(key[0], []).append(text)
    singular.pop("", None)
    assert singular | plural == texts


def test_words_of_the_tables_are_all_named():
    known = written()
    words = {
        panel_name(panel.code, body=body) for body in Body for panel in panels_on(body)
    }
    words |= {kind.name for kind in mark_kinds().values()}
    words |= {*SEVERITIES.values(), *WORDS.values()} - {"ready for film"}
    words |= {package.value.replace("_", " ") for package in Package}
    words |= set(customer_words.HOW_FAR.values())
    assert words - set(known) == set()


# the pages


@pytest.fixture
def asked(monkeypatch):
    """What is asked for in Spanish and has none: the page would be half English."""
    missing: set[str] = set()
    spanish = trans_real.translation("es")
    real = trans_real.gettext

    def listening(message):
        told = real(message)
        known = str(message) in spanish._catalog
        if translation.get_language() == "es" and not known and str(message).strip():
            missing.add(str(message))
        return told

    monkeypatch.setattr(translation._trans, "gettext", listening, raising=False)
    return lambda: missing


def link_to(**row):
    token = token_of(key=f"spanish {row}")
    CustomerLink.objects.create(
        token_hash=hash_of(token),
        expires_at=timezone.now() + timedelta(days=9),
        **row,
    )
    return f"/c/{token}/"


@pytest.fixture
def order(db):
    Shop.objects.update(phone="555-0100", address="12 Example Street")
    order = make_workorder(at=timezone.now())
    Customer.objects.update(language="es")
    order.refresh_from_db()
    return order


STAGES = ("intake", "prep", "install", "inspection", "cure", "ready", "closed")


@pytest.mark.parametrize("stage", STAGES)
def test_the_page_of_each_stage_is_spanish_through_and_through(
    client, order, asked, stage
):
    now = timezone.now()
    known = {"stage": "cure" if stage == "ready" else stage}
    if stage == "ready":
        known["cure_over_at"] = now - timedelta(hours=1)
        FinalLook.objects.create(workorder=order, round=1, outcome="fine", at=now)
    if stage == "closed":
        known |= {"handed_over_at": now, "recheck_at": now + timedelta(days=8)}
        CustomerReport.objects.create(workorder=order, words="un borde", at=now)
        OrderPanel.objects.update(laid_at=now)
    WorkOrder.objects.filter(pk=order.pk).update(**known)
    Mark.objects.create(
        workorder=order, when="after_wash", panel="hood", kind="stone_chip", seen_at=now
    )
    page = client.get(link_to(workorder=order)).content.decode()
    assert '<html lang="es">' in page
    assert asked() == set()
    for english in (" the ", " your ", "Price", "Call ", "covered", "Monday"):
        assert english not in re.sub(r"<style.*?</style>", "", page)


def test_a_booking_reads_spanish_with_days_in_spanish_and_money_as_papers_have_it(
    client, db, asked
):
    booking = make_booking()
    Customer.objects.update(language="es")
    page = client.get(link_to(booking=booking)).content.decode()
    assert "Su auto tiene cita." in page
    assert "1,800.00 USD" in page
    assert asked() == set()


def test_a_switch_on_the_page_changes_and_keeps_the_language(client, order):
    url = link_to(workorder=order)
    assert "Su auto está con nosotros." in client.get(url).content.decode()
    english = client.get(url + "?lang=en")
    assert "Your car is with us." in english.content.decode()
    assert english["Content-Language"] == "en"
    assert "Your car is with us." in client.get(url).content.decode()
    assert client.cookies["customer_language"]["path"] == "/c/"


@pytest.mark.parametrize("lang", ["xx", "", "es'--", "en-us"])
def test_an_unknown_language_is_not_kept(client, order, lang):
    url = link_to(workorder=order)
    response = client.get(url, {"lang": lang})
    assert response["Content-Language"] == "es"
    assert "customer_language" not in client.cookies


def test_a_dead_link_reads_the_browsers_language(client, db):
    url = "/c/AAAAAAAAAAAAAAAAAAAAAA/"
    page = client.get(url, headers={"accept-language": "es-MX,es;q=0.9"})
    assert "Este enlace ya no está abierto" in page.content.decode()
    assert "This link is not open any more" in client.get(url).content.decode()


def test_refusals_are_told_in_the_customers_language(client, order):
    WorkOrder.objects.update(stage="closed", handed_over_at=timezone.now())
    url = link_to(workorder=order)
    refused = client.post(url + "recheck/", {"key": "k" * 16, "on": "2001-01-01"})
    assert "Ese día ya pasó." in refused.content.decode()
    empty = client.post(url + "report/", {"key": "k" * 16, "words": ""})
    assert empty.status_code == 422
    assert "Este campo es obligatorio." in empty.content.decode()


def test_the_shops_own_pages_stay_english(client, order):
    client.force_login(make_person("desk", username="dee"))
    client.cookies["customer_language"] = "es"
    page = client.get(
        f"/workorders/{order.pk}/handover/", headers={"accept-language": "es"}
    )
    assert "This customer reads Spanish." in page.content.decode()
    assert '<html lang="en"' in page.content.decode()


@pytest.mark.parametrize("kind", [Paper.Kind.CARE, Paper.Kind.FILM_RECORD])
def test_a_paper_for_the_customer_is_in_the_customers_language(order, kind, asked):
    now = timezone.now()
    OrderPanel.objects.update(laid_at=now)
    WorkOrder.objects.update(stage="closed", handed_over_at=now)
    do(
        make_person("desk", username="dee"),
        issue_paper,
        workorder_pk=order.pk,
        kind=kind,
    )
    page = paper_html(Paper.objects.get())
    assert '<html lang="es">' in page
    assert asked() == set()
    assert " the " not in re.sub(r"<(style|head).*?</\1>", "", page, flags=re.DOTALL)


def test_a_paper_for_the_shop_stays_english(order):
    person = make_person("desk", username="dee")
    do(person, issue_paper, workorder_pk=order.pk, kind=Paper.Kind.WORK_ORDER)
    assert '<html lang="en">' in paper_html(Paper.objects.get())
