"""The keys by which rows are found, kept by the rows themselves."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import models, transaction

from jobs.search.spelling import LONGEST


class SearchKey(models.Model):
    """A key of a row. The row writes it whenever it is saved."""

    class Of(models.TextChoices):
        CUSTOMER = "customer", "customer"
        VEHICLE = "vehicle", "vehicle"
        BOOKING = "booking", "booking"
        ORDER = "order", "work order"
        ROLL = "roll", "roll"
        OFFCUT = "offcut", "off-cut"

    of = models.CharField(max_length=8, choices=Of.choices)
    row = models.BigIntegerField()
    key = models.CharField(max_length=LONGEST + 1)

    class Meta:
        indexes = [
            models.Index(
                fields=["of", "key", "row"],
                name="search_key",
                # LIKE 'ABC%' walks this one on PostgreSQL whatever its collation.
                opclasses=["varchar_ops", "varchar_pattern_ops", "int8_ops"],
            ),
            models.Index(fields=["of", "row"], name="search_key_of_row"),
        ]

    def __str__(self) -> str:
        return self.key


class Findable(models.Model):
    """A row that is found by some of its columns.

    found_by  their names: a save of others alone leaves the keys as they are
    """

    found_as: ClassVar[SearchKey.Of]
    found_by: ClassVar[tuple[str, ...]]

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Keep the row and its keys in one."""
        only, is_new = kwargs.get("update_fields"), self._state.adding
        with transaction.atomic(savepoint=False):
            super().save(*args, **kwargs)
            if only is None or set(only) & set(self.found_by):
                self._keep_keys(is_new=is_new)

    def search_keys(self) -> set[str]:
        """What the row is found by, as it stands."""
        raise NotImplementedError

    def _keep_keys(self, *, is_new: bool) -> None:
        kept = SearchKey.objects.filter(of=self.found_as, row=self.pk)
        known = set() if is_new else set(kept.values_list("key", flat=True))
        wanted = self.search_keys()
        if gone := known - wanted:
            kept.filter(key__in=gone).delete()
        SearchKey.objects.bulk_create(
            SearchKey(of=self.found_as, row=self.pk, key=key)
            for key in sorted(wanted - known)
        )
