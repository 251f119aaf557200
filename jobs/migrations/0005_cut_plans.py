"""One row a plan of cuts, with a pull for each order that has a part in it."""

from __future__ import annotations

from typing import Any

import django.db.models.deletion
from django.db import migrations, models


def share_plans(apps: Any, schema_editor: Any) -> None:
    """A plan for several cars was copied to each of them: keep it once."""
    using = schema_editor.connection.alias
    pulls = apps.get_model("jobs", "Pull").objects.using(using)
    plans = apps.get_model("jobs", "CutPlan").objects.using(using)
    shared: dict[str, Any] = {}
    for pull in pulls.order_by("pk").select_related("workorder").iterator():
        together = pull.plan.get("together", "")
        plan = shared.get(together) if together else None
        if plan is None:
            plan = plans.create(
                facts=pull.plan,
                drawing_svg=pull.drawing_svg,
                searched=pull.searched,
                planned_at=pull.planned_at,
            )
            if together:
                shared[together] = plan
        pulls.filter(pk=pull.pk).update(
            cut_plan=plan,
            cut_panels=panels_cut(pull.plan, order=pull.workorder.number),
        )


def panels_cut(facts: dict[str, Any], *, order: str) -> list[str]:
    """Codes of the panels that a stored plan cuts for an order."""
    missing = {name for name, _reason in facts["plan"]["unplaced"]}
    return [
        row["panel"]
        for row in facts["panels"]
        if row["group"] == order and row["id"] not in missing
    ]


class Migration(migrations.Migration):
    dependencies = [("jobs", "0004_the_shops_cure_table")]

    operations = [
        migrations.CreateModel(
            name="CutPlan",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("facts", models.JSONField()),
                ("drawing_svg", models.TextField(blank=True)),
                ("searched", models.BooleanField(default=False)),
                ("planned_at", models.DateTimeField()),
            ],
            options={"ordering": ["-pk"]},
        ),
        migrations.AddField(
            model_name="pull",
            name="cut_plan",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="pulls",
                to="jobs.cutplan",
            ),
        ),
        migrations.AddField(
            model_name="pull",
            name="cut_panels",
            field=models.JSONField(default=list),
        ),
        migrations.RunPython(share_plans, migrations.RunPython.noop),
    ]
