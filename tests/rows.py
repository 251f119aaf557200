"""Every row that is kept, to see whether a request changed any."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.db import connection

from shopapp.models import SignIn, TryCount

NOT_THE_SHOP = {"django_session", SignIn._meta.db_table, TryCount._meta.db_table}


def rows() -> dict[str, set[tuple[Any, ...]]]:
    """Every row of every table but those of the signing in."""
    found = {}
    with connection.cursor() as cursor:
        for model in apps.get_models(include_auto_created=True):
            table = model._meta.db_table
            if table not in NOT_THE_SHOP:
                cursor.execute(f'SELECT * FROM "{table}"')
                found[table] = set(cursor.fetchall())
    return found
