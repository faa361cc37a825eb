"""A sitting is a session of work, and what was taken back is reversed. Forms that were sent for a sitting keep their answers."""

from __future__ import annotations

from typing import Any

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

NAMES = {"costing.Sitting ": "costing.WorkSession "}


def keys_follow(apps: Any, _editor: Any) -> None:
    rename(apps, NAMES)


def keys_go_back(apps: Any, _editor: Any) -> None:
    rename(apps, {new: old for old, new in NAMES.items()})


def rename(apps: Any, names: dict[str, str]) -> None:
    for old, new in names.items():
        for row in apps.get_model("inventory", "Request").objects.filter(made__startswith=old):
            row.made = row.made.replace(old, new, 1)[:40]
            row.save(update_fields=["made"])


class Migration(migrations.Migration):
    dependencies = [
        ("costing", "0008_kind_of_work"),
        ("inventory", "0007_issued_to_work"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.RemoveConstraint(model_name="sittingskin", name="sitting_names_a_skin_once"),
        migrations.RenameModel(old_name="Sitting", new_name="WorkSession"),
        migrations.RenameModel(old_name="SittingSkin", new_name="SessionSkin"),
        migrations.RenameField(model_name="sessionskin", old_name="sitting", new_name="session"),
        migrations.AlterField(
            model_name="sessionskin",
            name="skin",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="at_sessions", to="inventory.skin"
            ),
        ),
        migrations.AlterField(
            model_name="worksession",
            name="batch",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="sessions",
                to="costing.batch",
            ),
        ),
        migrations.AlterField(
            model_name="worksession",
            name="labour",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="session",
                to="costing.labourline",
            ),
        ),
        migrations.AlterField(
            model_name="worksession",
            name="who",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="sessions",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddConstraint(
            model_name="sessionskin",
            constraint=models.UniqueConstraint(fields=("session", "skin"), name="sitting_names_a_skin_once"),
        ),
        migrations.RemoveConstraint(model_name="stepmark", name="step_ends_once"),
        migrations.RenameField(model_name="stepmark", old_name="taken_back_at", new_name="reversed_at"),
        migrations.RenameField(model_name="stepmark", old_name="taken_back_by", new_name="reverser"),
        migrations.AlterField(
            model_name="stepmark",
            name="reverser",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddConstraint(
            model_name="stepmark",
            constraint=models.UniqueConstraint(
                condition=models.Q(("kind__in", ["done", "skipped"]), ("reversed_at__isnull", True)),
                fields=("batch", "step"),
                name="step_ends_once",
            ),
        ),
        migrations.RenameField(model_name="reading", old_name="taken_back_at", new_name="reversed_at"),
        migrations.RenameField(model_name="reading", old_name="taken_back_by", new_name="reverser"),
        migrations.AlterField(
            model_name="reading",
            name="reverser",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.RunPython(keys_follow, keys_go_back),
    ]
