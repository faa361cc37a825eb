"""What goods would be worth if they left the shelf now, by the workshop's cost flow. Posts nothing; the ledger itself decides
when they really leave."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum

from inventory import costflow
from inventory.models import CostFlow, Lot, Material, Movement
from inventory.money import half_up
from inventory.selectors import workshop

Draw = tuple[Material, Decimal]


@dataclass
class _Shelf:
    """One material as the draws before have left it: its day balances, and its lots where those give the value."""

    days: list[costflow.Balance]
    layers: list[costflow.Layer] = field(default_factory=list)

    @property
    def there(self) -> Decimal:
        return min(day.quantity for day in self.days)


def worth(draws: Sequence[Draw], on: date) -> list[Decimal | None]:
    """The value each draw (material, quantity in its base unit) would leave with on `on`, one after the other.

    More than the shelf holds is priced at what is there, value × quantity ÷ on hand; None where nothing is there to price
    it by. At most two queries, however many draws.
    """
    shelves, places = _shelves([material for material, _ in draws], on), workshop.places()
    return [_leave(shelves[material.pk], quantity, places) for material, quantity in draws]


def _shelves(materials: Iterable[Material], on: date) -> dict[int, _Shelf]:
    known = {material.pk: material for material in materials}
    later: dict[int, list[tuple[Decimal, Decimal]]] = defaultdict(list)
    moved = Movement.objects.filter(material__in=known, on__gt=on).order_by("-on").values("material", "on")
    for row in moved.annotate(q=Sum("quantity"), v=Sum("value")):
        later[row["material"]].append((row["q"], row["v"]))
    shelves = {}
    for pk, material in known.items():
        days = [costflow.Balance(material.on_hand, material.value)]
        for quantity, value in later[pk]:
            days.append(costflow.Balance(days[-1].quantity - quantity, days[-1].value - value))
        shelves[pk] = _Shelf(days[::-1])
    if workshop.current().cost_flow == CostFlow.FIFO:
        for lot in Lot.objects.filter(material__in=known, quantity__gt=0).order_by("on", "pk"):
            shelves[lot.material_id].layers.append(costflow.Layer(lot.quantity, lot.value))
    return shelves


def _leave(shelf: _Shelf, quantity: Decimal, places: int) -> Decimal | None:
    if quantity > shelf.there:
        first = shelf.days[-1]
        if not first.quantity:
            return None
        return half_up(Fraction(first.value) * Fraction(quantity) / Fraction(first.quantity), places)
    if shelf.layers:
        takes = costflow.fifo_issue(shelf.layers, quantity, places)
        value = sum((take.value for take in takes), Decimal(0))
        for take in takes:
            layer = shelf.layers[take.index]
            shelf.layers[take.index] = costflow.Layer(layer.quantity - take.quantity, layer.value - take.value)
    else:
        value = costflow.average_issue_on(shelf.days, quantity, places)
    shelf.days = [costflow.Balance(day.quantity - quantity, day.value - value) for day in shelf.days]
    return value
