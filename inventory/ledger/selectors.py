"""What goods would be worth if they left the shelf now, by the workshop's cost flow. Posts nothing; the ledger itself decides
when they really leave.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db.models import QuerySet, Sum

from inventory import formats, money, units
from inventory.articles.models import Article
from inventory.base import selectors as workshop
from inventory.base.models import CostFlow
from inventory.ledger import costflow
from inventory.ledger.costflow import Balance
from inventory.ledger.models import Lot, Movement, Posting
from inventory.ledger.months import selectors as months
from inventory.ledger.months.rules import month_of
from inventory.materials.models import Material
from inventory.money import from_steps, half_up
from inventory.skins.models import Skin

STEP_PLACES = 3


@dataclass
class _Shelf:
    """One material as the draws before have left it: its day balances, and its lots where those give the value."""

    days: list[Balance]
    layers: list[Balance] = field(default_factory=list)


def worth(draws: Sequence[tuple[Material, Decimal]], on: date) -> list[Decimal | None]:
    """The value each draw (material, quantity in its base unit) would leave with on `on`, one after the other.

    More than the shelf holds is priced at what is there, value × quantity ÷ on hand; None where nothing is there to price
    it by. At most two queries, however many draws.
    """
    shelves = {pk: _Shelf(moved) for pk, moved in days((material for material, _ in draws), on).items()}
    if workshop.current().cost_flow == CostFlow.FIFO:
        for lot in Lot.objects.filter(material__in=shelves, quantity__gt=0).order_by("on", "pk"):
            shelves[lot.material_id].layers.append(Balance(lot.quantity, lot.value))
    return [_leave(shelves[material.pk], quantity, workshop.places()) for material, quantity in draws]


def days(materials: Iterable[Material], on: date) -> dict[int, list[Balance]]:
    """By material: the balance at the end of `on` and of each later day on which it moved, walked back from that of now."""
    known = {material.pk: Balance(material.on_hand, material.value) for material in materials}
    later: dict[int, list[Balance]] = defaultdict(list)
    moved = sums(Movement.objects.filter(material__in=known, on__gt=on), "material", "on")
    for pk, day in sorted(moved, reverse=True):
        later[pk].append(moved[pk, day])
    return {pk: costflow.days_before(now, later[pk]) for pk, now in known.items()}


def _leave(shelf: _Shelf, quantity: Decimal, places: int) -> Decimal | None:
    if quantity > min(day.quantity for day in shelf.days):
        first = shelf.days[-1]
        if not first.quantity:
            return None
        return half_up(Fraction(first.value) * Fraction(quantity) / Fraction(first.quantity), places)
    if shelf.layers:
        takes = costflow.fifo_issue(shelf.layers, quantity, places)
        value = sum((take.value for take in takes), Decimal(0))
        for take in takes:
            shelf.layers[take.index] = shelf.layers[take.index].less(take.quantity, take.value)
    else:
        value = costflow.average_issue_on(shelf.days, quantity, places)
    shelf.days = [day.less(quantity, value) for day in shelf.days]
    return value


def day_balances(material: Material, on: date) -> list[Balance]:
    """The balance at the end of `on` and of each later day on which the material moved, up to now."""
    return days([material], on)[material.pk]


def available(material: Material, on: date) -> Decimal:
    """What can be taken on `on` without any later day falling below nothing (base unit)."""
    return min(day.quantity for day in day_balances(material, on))


def sums(rows: QuerySet[Any], *by: str) -> dict[Any, Balance]:
    """Quantity and value of movements, or of draws on lots, added up by the columns named: by its value, or by theirs."""
    added = rows.order_by().values_list(*by).annotate(q=Sum("quantity"), v=Sum("value"))
    return {key[0] if len(by) == 1 else tuple(key): Balance(quantity, value) for *key, quantity, value in added}


def balances(on: date, materials: Iterable[Material] | None = None) -> dict[int, Balance]:
    """Quantity and value of each material at the end of `on`: what its last month before left, and what moved since."""
    month = month_of(on)
    whole = month_of(on + timedelta(days=1)) > month if on < date.max else True
    known = None if materials is None else [material.pk for material in materials]
    left = months.left(month if whole else month - 1, known)
    there = {pk: Balance(*(from_steps(each, STEP_PLACES) for each in steps)) for pk, steps in left.items()}
    if not whole:
        moved = Movement.objects.filter(month=month, on__lte=on)
        for pk, change in sums(moved if known is None else moved.filter(material__in=known), "material").items():
            there[pk] = there.get(pk, Balance()).plus(*change)
    return there


def untouched_since(movement: Movement) -> bool:
    """True when nothing of the material was moved after `movement`, counting a reversed pair as nothing."""
    return not (
        Movement.objects.filter(material=movement.material_id, pk__gt=movement.pk)
        .filter(posting__reverses__isnull=True, posting__reversed_by__isnull=True)
        .exists()
    )


def open_lots(material: Material) -> QuerySet[Lot]:
    """What is left of each arrival, oldest first."""
    return Lot.objects.filter(material=material, quantity__gt=0).order_by("on", "pk")


def history(material: Material) -> QuerySet[Movement]:
    """Every movement of a material, newest first, ready to list."""
    return (
        Movement.objects.filter(material=material)
        .select_related(
            "posting__reverses", "posting__reversed_by", "posting__delivery__supplier", "posting__written_by"
        )
        .order_by("-on", "-pk")
    )


def postings() -> QuerySet[Posting]:
    """Every entry, ready to show with what it moved and whom it came from."""
    rows = Posting.objects.select_related("reverses", "reversed_by", "written_by", "delivery__supplier")
    return rows.prefetch_related("movements__material")


def has_any() -> bool:
    """Whether any money is in the books of this floor: a movement, a skin with a price, a piece with one."""
    rows = (Movement.objects.all(), Skin.objects.filter(price__gt=0), Article.objects.filter(list_price__gt=0))
    return any(each.exists() for each in rows)


def any_posting() -> bool:
    """Whether anything was posted at all."""
    return Posting.objects.exists()


def unit_cost(value: Decimal, quantity: Decimal, unit: str) -> Decimal | None:
    """Money per `unit`: value ÷ quantity × base units in one, to the coin, or two places finer below a tenth.

    `quantity` is in base units; None where there is nothing to divide by.
    """
    if not quantity:
        return None
    exact = Fraction(value) / Fraction(quantity) * units.ratio(unit)
    places = workshop.places()
    coins, fine = money.half_up(exact, places), money.half_up(exact, places + 2)
    return fine if exact < Fraction(1, 10) and fine != coins else coins


def per_unit(value: Decimal, quantity: Decimal, unit: str) -> str:
    """Money per unit for people, or a dash where nothing is there."""
    cost = unit_cost(value, quantity, unit)
    return "–" if cost is None else f"{formats.current().money(cost, workshop.current().currency)}/{units.label(unit)}"


def movement_cost(row: Movement) -> str:
    """What a unit of it cost as it moved, for people."""
    return per_unit(row.value, row.quantity, row.material.unit)


def lots_on_shelf(material: Material) -> QuerySet[Lot]:
    """Open lots with the entry each came by."""
    return open_lots(material).select_related("movement__posting__delivery__supplier")


def movements(posting: Posting) -> QuerySet[Movement]:
    return posting.movements.select_related("material").order_by("pk")
