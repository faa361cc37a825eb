"""What the shed asks of the shelf: what planned and running batches still need, and what was used, by the batch it was for."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any

from django.db.models import F, Max, Prefetch

from costing.make.batches.logs.selectors import Log, logs
from costing.make.batches.models import Batch
from costing.make.batches.requirements.selectors import ShelfAllows, amounts, largest
from costing.make.batches.stays.selectors import detailed
from costing.make.recipes.models import RecipeLine, RecipeVersion
from costing.make.recipes.rules import BY_BATH
from costing.make.recipes.selectors import per_litre
from inventory.foresight.demand import Use
from inventory.foresight.supply import Need
from inventory.ledger.models import Kind, Movement
from inventory.models import Material

# What counts finds counts as use; a gain is taken off again.
USES = (Kind.USE, Kind.SOLD, Kind.COUNT)
HISTORY_DAYS = 3 * 365

# Of a plan nothing is written yet.
UNWRITTEN = Log({}, (), frozenset())


def needed(sender: object, *, on: date, **_: Any) -> dict[int, list[Need]]:
    """The answer to what is planned."""
    return needs(on)


def used(sender: object, *, materials: Sequence[int], on: date, **_: Any) -> dict[int, list[Use]]:
    """The answer to what was used of materials up to a day: the day, how much, and the batch it was for."""
    found: dict[int, list[Use]] = defaultdict(list)
    rows = Movement.objects.filter(
        material__in=materials,
        kind__in=USES,
        on__gt=on - timedelta(days=HISTORY_DAYS),
        on__lte=on,
        posting__reverses__isnull=True,
        posting__reversed_by__isnull=True,
    )
    for pk, day, quantity, batch in rows.order_by().values_list("material", "on", "quantity", "posting__use__batch"):
        found[pk].append((day, -quantity, batch))
    return found


def needs(on: date) -> dict[int, list[Need]]:
    """By material: what batches that are not done still need from `on`, on the day each addition falls due as they stand.

    Once a line of a batch in work was put in, its rest is no need any more: the maker used what it took.
    """
    batches = list(detailed().exclude(state=Batch.State.DONE).order_by("start", "pk"))
    written = logs([batch for batch in batches if batch.state != Batch.State.PLANNED], on)
    ahead: dict[int, list[Need]] = defaultdict(list)
    for batch in batches:
        for amount in amounts(batch, on, written.get(batch.pk, UNWRITTEN)):
            if amount.left and amount.waits(batch.state):
                ahead[amount.material.pk].append(Need(max(on, amount.due), amount.left, batch.number))
    return ahead


def allowed_baths(material: Material) -> list[tuple[str, ShelfAllows]]:
    """By recipe whose newest version takes the material by the litre or gallon: the largest bath that the shelf allows."""
    newest = RecipeVersion.objects.annotate(newest=Max("recipe__versions__number")).filter(number=F("newest"))
    using = newest.filter(lines__in=RecipeLine.objects.filter(material=material, basis__in=BY_BATH)).distinct()
    lines = Prefetch("lines", RecipeLine.objects.filter(basis__in=BY_BATH).select_related("material"))
    found = []
    for version in using.select_related("recipe").prefetch_related(lines):
        allows = largest([(line.material, per_litre(line)) for line in version.lines.all()], version.litres_per_skin)
        if allows:
            found.append((version.recipe.code, allows))
    return found
