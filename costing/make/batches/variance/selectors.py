"""Where a batch differs from its recipe in money: materials by price and by amount, work by pay and by time.

The standard is the recipe's own amounts for what really went in, at the average cost on the shelf when the batch began;
work is the steps' minutes at the wage of that day. The arithmetic is in the rules; the number of queries does not grow with
lines.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from costing.make.batches.models import Batch
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.variance import rules as variance
from costing.make.batches.variance.rules import Variance
from costing.make.cost.rates import selectors as rates
from costing.make.errors import MissingMeasure
from costing.make.labour.models import LabourLine
from costing.make.recipes import rules as recipes
from costing.make.recipes.models import RecipeStep
from costing.make.steps import schedule, selectors as steps
from inventory.ledger import selectors as ledger
from inventory.models import INWARD, Material, Movement
from inventory.money import ZERO
from inventory.units import MINUTES_PER_HOUR

# How much of a material, and what that cost.
Pair = tuple[Decimal, Decimal]


@dataclass(frozen=True)
class MaterialRow:
    """Quantities in base units, `price` of one. `found` None: the recipe's amount is not known, `missing` says why.

    `planned` zero: the recipe does not name it, so all of it is more than planned.
    """

    material: Material
    planned: Decimal | None
    used: Decimal
    cost: Decimal
    price: Fraction
    found: Variance | None
    missing: str = ""


@dataclass(frozen=True)
class Work:
    """Planned and logged minutes, what the logged ones cost (my own at the wage of their day, help as it was paid), and the
    variance from the planned ones at `wage`, that of the day the batch began."""

    planned: Decimal
    logged: Decimal
    cost: Fraction
    wage: Decimal
    found: Variance


@dataclass(frozen=True)
class Variances:
    """`work` None while the recipe has no steps to plan by. `total` leaves out what has no standard."""

    materials: tuple[MaterialRow, ...]
    work: Work | None

    @property
    def material_total(self) -> Variance:
        return sum((row.found for row in self.materials if row.found is not None), variance.NONE)

    @property
    def total(self) -> Variance:
        return self.material_total + (self.work.found if self.work else variance.NONE)


def of(batch: Batch) -> Variances:
    """The variances of a batch (from `stays.detailed()`) as it stands."""
    return Variances(_materials(batch), _work(batch))


def _materials(batch: Batch) -> tuple[MaterialRow, ...]:
    used, went_in = _used(batch)
    stays = list(batch.stays.all())
    planned: dict[int, Decimal] = defaultdict(Decimal)
    missing: dict[int, str] = {}
    known: dict[int, Material] = {movement.material_id: movement.material for movement in used}
    for line in batch.version.lines.all():
        known[line.material_id] = line.material
        on = went_in.get(line.material_id)
        there = [stay for stay in stays if on is None or stay.covers(on)] or stays
        try:
            amount = recipes.scale(line.amount, line.basis, requirements.measures(batch, there), line.material.name)
        except MissingMeasure as refusal:
            missing[line.material_id] = str(refusal)
            continue
        planned[line.material_id] += amount
    taken: dict[int, Pair] = {}
    for movement in used:
        quantity, cost = taken.get(movement.material_id, (ZERO, ZERO))
        taken[movement.material_id] = quantity - movement.quantity, cost - movement.value
    prices = _prices(known.values(), batch.start, taken)
    rows = []
    for pk, material in sorted(known.items(), key=lambda item: item[1].name):
        quantity, cost = taken.get(pk, (ZERO, ZERO))
        if pk in missing:
            rows.append(MaterialRow(material, None, quantity, cost, prices[pk], None, missing[pk]))
        elif pk in taken or planned[pk]:
            found = variance.variance(planned=planned[pk], price=prices[pk], used=quantity, cost=cost)
            rows.append(MaterialRow(material, planned[pk], quantity, cost, prices[pk], found))
    return tuple(rows)


def _used(batch: Batch) -> tuple[list[Movement], dict[int, date]]:
    """What was put in and not reversed, and by material the day that the recipe's amount went in: the first with a planned
    amount beside it, else the last, because salt that cures comes before the recipe's own."""
    rows = Movement.objects.filter(posting__use__batch=batch, posting__reversed_by__isnull=True)
    found = list(rows.select_related("material", "planned").order_by("on", "pk"))
    last = {row.material_id: row.on for row in found}
    asked = {row.material_id: row.on for row in reversed(found) if hasattr(row, "planned")}
    return found, last | asked


def _prices(materials: Iterable[Material], start: date, taken: Mapping[int, Pair]) -> dict[int, Fraction]:
    """By material: the average of one on the shelf on the eve of the start, with what came in that day.

    Of what was not there then, the average of what came in first after; of what never came in, what it was used at.
    """
    known = list(materials)
    eve = ledger.balances(start - timedelta(days=1), known)
    held = {pk: list(pair) for pk, pair in eve.items()}
    arrivals = Movement.objects.filter(
        material__in=known, kind__in=INWARD, on__gte=start, quantity__gt=0, posting__reversed_by__isnull=True
    )
    later: dict[int, tuple[date, list[Decimal]]] = {}
    for row in arrivals.filter(posting__reverses__isnull=True).order_by("on", "pk"):
        if row.on == start:
            pair = held.setdefault(row.material_id, [ZERO, ZERO])
        else:
            on, pair = later.setdefault(row.material_id, (row.on, [ZERO, ZERO]))
            if row.on != on:
                continue
        pair[0] += row.quantity
        pair[1] += row.value
    found = {}
    for pk in (material.pk for material in known):
        pairs = (held.get(pk), later[pk][1] if pk in later else None, taken.get(pk))
        found[pk] = next((Fraction(pair[1]) / Fraction(pair[0]) for pair in pairs if pair and pair[0]), Fraction(0))
    return found


def _work(batch: Batch) -> Work | None:
    plan = list(batch.version.steps.all())
    lines = list(LabourLine.objects.filter(batch=batch, reverses__isnull=True, reversed_by__isnull=True))
    if not plan:
        return None
    history = rates.history()
    wage = history.at(batch.start).wage_per_hour
    logged = sum((line.minutes for line in lines), ZERO)
    cost = sum((_paid(line, history.at(line.on).wage_per_hour) for line in lines), Fraction(0))
    planned = Decimal(_planned_minutes(batch, plan))
    found = variance.variance(
        planned=Fraction(planned) / MINUTES_PER_HOUR, price=wage, used=Fraction(logged) / MINUTES_PER_HOUR, cost=cost
    )
    return Work(planned, logged, cost, wage, found)


def _paid(line: LabourLine, wage: Decimal) -> Fraction:
    """Help as it was paid, my own minutes at the wage of their day."""
    return Fraction(line.paid) if line.paid else Fraction(line.minutes) * Fraction(wage) / MINUTES_PER_HOUR


def _planned_minutes(batch: Batch, plan: Sequence[RecipeStep]) -> int:
    """Minutes the steps plan for the skins that were there: of all steps of a batch that is done, else of those that ended."""
    stays = list(batch.stays.all())
    marks = steps.standing_marks(batch)
    laid = schedule.lay_out(steps.as_steps(plan, heads=0), batch.start, marks, today=batch.start)
    done = batch.state == Batch.State.DONE
    minutes = 0
    for step, each in zip(plan, laid, strict=True):
        if each.ended is None and not done:
            continue
        heads = sum(1 for stay in stays if each.ended is None or stay.covers(each.ended))
        minutes += schedule.hands_minutes_total(steps.as_steps([step], heads))
    return minutes
