"""Years of closed orders, made inside the store from those of the demo shop.

Each copy has every row that a closed order leaves behind, under keys of its own: car,
booking, panels, readings, batches, film, papers, history. SQLite only. What makes no
query longer is left out: long texts beyond the first copies, and most of the lines of
a history.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from django.apps import apps
from django.db import connection, models

from jobs.search.models import Findable
from jobs.stages.table import Stage
from shopapp.models import BackgroundTask, Submission

STEP = 1_000_000
"""Keys of one copy lie this far above those of the one before."""
WHOLE = 20
"""Copies that keep their long texts."""
MOST = {"workorderevent": 10, "checklistanswer": 2}
"""Rows of one parent that are copied, where there are many alike."""
PRESSES = 2
"""Submissions that are copied for each order."""
FIRST_AGE_MIN, APART_MIN = 60 * 24 * 40, 26
"""Age of the youngest copy, and minutes between two: 200 000 orders in nine years."""


@dataclass
class Copied:
    """The rows that go with the closed orders: table to keys."""

    keys: dict[type[models.Model], set[int]] = field(default_factory=dict)

    def add(self, model: type[models.Model], keys: Iterable[int | None]) -> bool:
        """Whether any of these were new."""
        known = self.keys.setdefault(model, set())
        new = {key for key in keys if key is not None} - known
        known |= new
        return bool(new)


def model(name: str) -> type[models.Model]:
    """A model of the shop by its name."""
    for app in ("jobs", "mixing", "shopapp"):
        if name in apps.get_app_config(app).models:
            return apps.get_model(app, name)
    raise LookupError(name)


# Children by the key of their parent, then parents by the key of their child.
DOWN = {
    "workorder": (
        *("orderpanel", "addedwork", "orderreading", "ordersheet", "ordersolution"),
        *("orderbatch", "orderprepuse", "heatcheck", "payment", "workorderevent"),
        *("override", "mark", "paintreading", "orderchecklist", "pull", "paper"),
        *("customerlink", "finallook", "defect", "filmmovement"),
    ),
    "booking": ("bookingpanel", "filmreservation", "addedwork"),
    "orderpanel": ("panellook",),
    "orderchecklist": ("checklistanswer",),
    "batch": ("pour", "fill", "stockmovement"),
}
UP = {
    "workorder": ("customer", "vehicle", "booking"),
    "orderreading": ("reading",),
    "orderbatch": ("batch",),
    "pull": ("cut_plan",),
    "filmmovement": ("roll",),
    "stockmovement": ("container",),
}
THROUGH = ("WorkOrder.crew", "OrderPanel.batches")


def closed_rows() -> Copied:
    """Every row of the closed orders, with what they stand on."""
    found = Copied()
    orders = model("workorder")
    closed = orders._default_manager.filter(stage=Stage.CLOSED.value, return_of=None)
    found.add(orders, closed.values_list("pk", flat=True))
    names = ["workorder"]
    while names:
        name = names.pop()
        here = found.keys[model(name)]
        rows = model(name)._default_manager.filter(pk__in=here)
        for up in UP.get(name, ()):
            target = model(name)._meta.get_field(up).related_model
            if found.add(target, rows.values_list(f"{up}_id", flat=True)):
                names.append(target._meta.model_name)
        for down in DOWN.get(name, ()):
            child = model(down)
            link = next(f for f in child._meta.fields if f.related_model is model(name))
            below = child._default_manager.filter(**{f"{link.name}__in": here})
            if found.add(child, below.values_list("pk", flat=True)):
                names.append(down)
    return found


def thin(found: Copied) -> None:
    """Of rows that are many and alike, the first few of each parent."""
    for name, most in MOST.items():
        table = model(name)
        parent = next(up for up, below in DOWN.items() if name in below)
        rows = table._default_manager.filter(pk__in=found.keys[table]).order_by("pk")
        link = next(f for f in table._meta.fields if f.related_model is model(parent))
        counted: Counter[int] = Counter()
        kept = set()
        for of, key in rows.values_list(link.attname, "pk"):
            counted[of] += 1
            if counted[of] <= most:
                kept.add(key)
        found.keys[table] = kept


def add_traces(found: Copied, orders: int) -> None:
    """Presses and background tasks, which no foreign key ties to an order."""
    presses = Submission.objects.filter(subject__startswith="workorder").order_by("pk")
    found.add(Submission, presses.values_list("pk", flat=True)[: PRESSES * orders])
    tasks = BackgroundTask.objects.order_by("pk").values_list("pk", flat=True)
    found.add(BackgroundTask, tasks[:orders])


def grow(orders: int) -> int:
    """Add at least so many closed orders; how many there are now."""
    found = closed_rows()
    thin(found)
    each = len(found.keys[model("workorder")])
    add_traces(found, each)
    copies = -(-orders // each)
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys = OFF")
        cursor.execute("PRAGMA synchronous = OFF")
        cursor.execute("CREATE TEMP TABLE copy_no (k INTEGER PRIMARY KEY)")
        cursor.execute(
            "WITH RECURSIVE n(k) AS (SELECT 1 UNION ALL SELECT k + 1 FROM n"
            " WHERE k < %s) INSERT INTO copy_no SELECT k FROM n",
            [copies],
        )
        for table, keys in found.keys.items():
            if keys:
                cursor.execute(copying(table, keys, found))
        for table, keys in found.keys.items():
            if issubclass(table, Findable) and keys:
                cursor.execute(copying_keys(table, keys))
        for name in THROUGH:
            owner, many = name.split(".")
            through = getattr(model(owner.lower()), many).through
            here = found.keys[model(owner.lower())]
            link = f"{owner.lower()}__in"
            keys = set(
                through._default_manager.filter(**{link: here}).values_list(
                    "pk", flat=True
                )
            )
            if keys:
                cursor.execute(copying(through, keys, found))
        cursor.execute("DROP TABLE copy_no")
        cursor.execute("PRAGMA synchronous = FULL")
    closed = model("workorder")._default_manager.filter(stage=Stage.CLOSED.value)
    return closed.count()


def copying(table: type[models.Model], keys: set[int], found: Copied) -> str:
    """The statement that copies these rows of a table."""
    columns = list(table._meta.concrete_fields)
    names = ", ".join(f'"{f.column}"' for f in columns)
    values = ", ".join(value(f, found) for f in columns)
    here = ", ".join(map(str, sorted(keys)))
    name = table._meta.db_table
    return (
        f'INSERT INTO "{name}" ({names}) SELECT {values} FROM copy_no, "{name}" t'  # noqa: S608
        f" WHERE t.id IN ({here}) ORDER BY k, t.id"
    )


def copying_keys(table: type[Findable], keys: set[int]) -> str:
    """The statement that copies what these rows are found by; a number is its own."""
    here = ", ".join(map(str, sorted(keys)))
    copy = f"t.row + k * {STEP}"
    key = f"'W16' || ({copy})" if table is model("workorder") else "t.key"
    return (
        f'INSERT INTO "jobs_searchkey" ("of", "row", "key")'  # noqa: S608
        f" SELECT DISTINCT t.of, {copy}, {key} FROM copy_no, jobs_searchkey t"
        f" WHERE t.of = '{table.found_as.value}' AND t.row IN ({here})"
    )


def value(column: models.Field, found: Copied) -> str:
    """What a copy holds in this column."""
    old, table = f't."{column.column}"', column.model._meta.model_name
    if column.primary_key:
        return f"{old} + k * {STEP}"
    if column.is_relation:
        copied = ", ".join(map(str, sorted(found.keys.get(column.related_model, ()))))
        return f"CASE WHEN {old} IN ({copied}) THEN {old} + k * {STEP} ELSE {old} END"
    if column.name == "number" and table in ("workorder", "batch"):
        letter = "W" if table == "workorder" else "B"
        return f"'{letter}-16-' || (t.id + k * {STEP})"
    if isinstance(column, models.CharField) and (
        column.unique or (table == "paper" and column.name == "number")
    ):
        return f"{old} || '-' || k"
    if column.name == "retired_at":
        return aged("datetime('now')")
    if table == "backgroundtask" and column.name == "state":
        return "'done'"
    if table == "roll" and column.name == "left_mm":
        return "0"
    if isinstance(column, models.DateTimeField):
        return aged(old)
    if isinstance(column, models.DateField):
        return f"date({old}, '-' || ({FIRST_AGE_MIN} + k * {APART_MIN}) || ' minutes')"
    if isinstance(column, models.JSONField):
        return f"CASE WHEN k <= {WHOLE} THEN {old} ELSE substr('{{}}', 1) END"
    if isinstance(column, models.TextField):
        return f"CASE WHEN k <= {WHOLE} THEN {old} ELSE '' END"
    return old


def aged(old: str) -> str:
    """A moment, so much earlier as the copy is older."""
    return (
        f"strftime('%Y-%m-%d %H:%M:%f000', {old},"
        f" '-' || ({FIRST_AGE_MIN} + k * {APART_MIN}) || ' minutes')"
    )
