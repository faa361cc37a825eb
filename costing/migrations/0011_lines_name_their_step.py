"""A recipe line belongs to a step. Lines from before get, once, the step that their words name, else the one of their day."""

from __future__ import annotations

from typing import Any

import django.db.models.deletion
from django.db import migrations, models

Spans = dict[str, tuple[Any, int, int]]


def by_words_or_day(apps: Any, _editor: Any) -> None:
    for version in apps.get_model("costing", "RecipeVersion").objects.all().iterator():
        known = spans(version)
        lines = list(version.lines.order_by("day", "position")) if known else []
        # Where the first line that names its step says so, days were counted from that step and not from the first.
        named = next((line for line in lines if step_named(known, line)), None)
        shift = max(0, step_named(known, named)[1] - named.day) if named else 0
        for line in lines:
            tie(line, known, shift)


def tie(line: Any, known: Spans, shift: int) -> None:
    found = step_named(known, line)
    day = line.day + shift
    step, begins, ends = found or on_day(known, day)
    if found:
        line.how = line.how.partition(",")[2].strip()
    # Within a step that was named its day is kept where it can be; between two steps or after the last it is the end.
    line.step, line.day = step, day if begins <= day <= ends else begins if found else ends
    line.save(update_fields=["step", "day", "how"])


def step_named(known: Spans, line: Any) -> Any:
    return known.get(line.how.partition(",")[0].strip().casefold())


def spans(version: Any) -> Spans:
    found, free = {}, 0
    for step in version.steps.order_by("position"):
        begins = free + step.wait_days
        free = begins + step.lasts_days
        found[step.name.casefold()] = (step, begins, free)
    return found


def on_day(known: Spans, day: int) -> tuple[Any, int, int]:
    """The step that begins on a day, else the last one that began before it."""
    rows = list(known.values())
    begins = [row for row in rows if row[1] == day]
    before = [row for row in rows if row[1] <= day]
    return begins[0] if begins else before[-1] if before else rows[0]


class Migration(migrations.Migration):
    dependencies = [("costing", "0010_who_wrote_it")]

    operations = [
        migrations.RenameField("recipeline", "step", "how"),
        migrations.AddField(
            "recipeline",
            "step",
            models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="lines",
                to="costing.recipestep",
            ),
        ),
        migrations.RunPython(by_words_or_day, migrations.RunPython.noop),
    ]
