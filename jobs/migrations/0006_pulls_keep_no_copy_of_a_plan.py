"""What a plan says stands in its own row now."""

from __future__ import annotations

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("jobs", "0005_cut_plans")]

    operations = [
        migrations.RemoveField(model_name="pull", name=name)
        for name in ("plan", "drawing_svg", "bound_mm", "searched", "planned_at")
    ]
