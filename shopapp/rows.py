"""The row that an address names, as a fact of the action; the page of one made."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db import models
from django.shortcuts import get_object_or_404
from django.urls import reverse

from shopapp.frame import Answer


def by_pk(model: type[models.Model], fact: str) -> Callable[[int], dict[str, Any]]:
    """The row of the `pk` in an address, as this fact of the action; or 404."""

    def found(pk: int) -> dict[str, Any]:
        get_object_or_404(model, pk=pk)
        return {fact: pk}

    return found


def page_of_made(url_name: str) -> Callable[[Answer], str]:
    """The page of the row that the action made, to be led to afterwards."""

    def url(answer: Answer) -> str:
        return reverse(url_name, args=[answer["pk"]])

    return url
