"""What work counts as is chosen from now on. Entries from before get, once, the kind that was read from their words until now."""

from __future__ import annotations

import re
from typing import Any

from django.db import migrations, models

KINDS = [
    ("flesh", "Flesh"),
    ("salt", "Salt"),
    ("wash", "Wash"),
    ("bath", "Bath"),
    ("oil", "Oil"),
    ("lace", "Lace on frame"),
    ("soften", "Soften"),
    ("finish", "Finish"),
    ("other", "Other"),
]
LACES = re.compile(r"\b(re-?)?lac(e|ed|ing)\b", re.IGNORECASE)
SOFTENS = re.compile(r"\b(soften|break|stak(e|ing))", re.IGNORECASE)


def kinds_by_words(apps: Any, _editor: Any) -> None:
    for line in apps.get_model("costing", "LabourLine").objects.all().iterator():
        line.kind = "soften" if SOFTENS.search(line.task) else "lace" if line.laced else "other"
        if line.kind != "other":
            line.save(update_fields=["kind"])
    for name in ("Sitting", "RecipeStep"):
        for row in apps.get_model("costing", name).objects.all().iterator():
            words = row.task or getattr(row, "name", "")
            row.kind = "lace" if LACES.search(words) else "soften" if SOFTENS.search(words) else "other"
            if row.kind != "other":
                row.save(update_fields=["kind"])


def known(name: str) -> models.CheckConstraint:
    return models.CheckConstraint(condition=models.Q(kind__in=[kind for kind, _ in KINDS]), name=name)


class Migration(migrations.Migration):
    dependencies = [("costing", "0007_credit_lines_name_their_line")]

    operations = [
        *(
            migrations.AddField(name, "kind", models.CharField(choices=KINDS, default="other", max_length=6))
            for name in ("labourline", "recipestep", "sitting")
        ),
        migrations.RunPython(kinds_by_words, migrations.RunPython.noop),
        migrations.AddConstraint("labourline", known("labour_kind_known")),
        migrations.AddConstraint("recipestep", known("recipe_step_kind_known")),
        migrations.AddConstraint("sitting", known("sitting_kind_known")),
    ]
