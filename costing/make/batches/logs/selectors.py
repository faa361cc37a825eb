"""What was written of batches up to a day: what was put in of each material, what was logged of their steps, what was skipped."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from costing.make.additions.models import SkippedAddition
from costing.make.batches.models import Batch
from costing.make.steps import selectors as steps
from costing.make.steps.models import StepMark
from inventory.models import Movement


@dataclass(frozen=True)
class Part:
    """What went in at once: on which day, how much (base unit), and the recipe line that it was put in for, if one was named."""

    on: date
    quantity: Decimal
    line: int | None = None


@dataclass
class Sack:
    """What a batch took of one material, and what that is. `parts` are what of it is not counted against a line yet."""

    name: str
    substance: str
    base: str
    density: Decimal | None = None
    parts: list[Part] = field(default_factory=list)


@dataclass(frozen=True)
class Log:
    """What was written of a batch up to a day: its sacks by material, the marks of its steps, the lines that it skipped."""

    sacks: Mapping[int, Sack]
    marks: Sequence[StepMark]
    skipped: frozenset[int]


def logs(batches: Iterable[Batch], until: date) -> dict[int, Log]:
    """By batch what was written by the end of a day, what was reversed left out. Three queries."""
    known = list(batches)
    if not known:
        return {}
    sacks: dict[int, dict[int, Sack]] = {batch.pk: {} for batch in known}
    rows = Movement.objects.filter(posting__use__batch__in=known, on__lte=until)
    rows = rows.exclude(posting__reversed_by__on__lte=until).order_by("on", "pk")
    named = ("material__name", "material__substance", "material__base", "material__density_g_per_ml")
    found = rows.values_list("posting__use__batch", "material", "on", "quantity", "planned__line", *named)
    for batch, material, on, quantity, line, *sack in found:
        sacks[batch].setdefault(material, Sack(*sack)).parts.append(Part(on, -quantity, line))
    marks: dict[int, list[StepMark]] = {batch.pk: [] for batch in known}
    for mark in steps.standing(known, until):
        marks[mark.batch_id].append(mark)
    skipped: dict[int, set[int]] = {batch.pk: set() for batch in known}
    left_out = SkippedAddition.objects.filter(batch__in=known, on__lte=until, reversed_at__isnull=True).order_by()
    for batch, line in left_out.values_list("batch", "line"):
        skipped[batch].add(line)
    return {batch.pk: Log(sacks[batch.pk], marks[batch.pk], frozenset(skipped[batch.pk])) for batch in known}
