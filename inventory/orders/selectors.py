"""Purchase orders as they are listed and as they stand; what is coming of each material, and how long suppliers have taken.

What is outstanding is never kept: it is what was ordered less what the deliveries of the order brought, those left out that were
reversed or corrected. Order and delivery know nothing of each other's rooms, so the tables are read here.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import BooleanField, Case, Min, Q, QuerySet, Sum, Value, When

from inventory import units
from inventory.base.finding import hits
from inventory.deliveries.corrections.models import CorrectedLine
from inventory.deliveries.models import Delivery
from inventory.materials.models import Material
from inventory.money import ZERO
from inventory.orders import rules
from inventory.orders.models import Order, OrderLine
from inventory.suppliers.models import Supplier

NEWEST = 12


@dataclass(frozen=True)
class Coming:
    """What is outstanding of a material on one order: `quantity` in its base unit, `due` as stated on the order."""

    quantity: Decimal
    ordered: date
    due: date | None
    order: str
    supplier: str
    supplier_pk: int


@dataclass(frozen=True)
class LineStanding:
    """A line and what is outstanding of it (base unit)."""

    line: OrderLine
    rest: Decimal

    @property
    def brought(self) -> Decimal:
        return self.line.quantity - self.rest

    @property
    def packs(self) -> Decimal | None:
        """The outstanding packs, where they can be said."""
        return rules.packs(self.rest, self.line.pack_quantity, units.HELD_PLACES) if self.brought else self.line.packs


@dataclass(frozen=True)
class Standing:
    """How an order stands: its state and its lines."""

    state: rules.State
    lines: tuple[LineStanding, ...]

    @property
    def open(self) -> bool:
        return self.state in (rules.State.ORDERED, rules.State.PART)

    def rest(self, material: int) -> Decimal:
        """What is outstanding of a material (id), over all lines."""
        return sum((each.rest for each in self.lines if each.line.material_id == material), ZERO)


def supply(on: date) -> tuple[dict[int, tuple[Coming, ...]], dict[int, tuple[int, ...]]]:
    """What is `coming`, and the `lead_times`. One query where nothing was ever ordered, else three."""
    rows = _ordered(on)
    return _coming(rows, on), lead_times(on) if rows else {}


def coming(on: date) -> dict[int, tuple[Coming, ...]]:
    """By material (id) what was on order at the end of `on`, the oldest order first. Two queries."""
    return _coming(_ordered(on), on)


def _ordered(on: date) -> list[tuple[Any, ...]]:
    """Every line of every order up to a day."""
    of_order = ("order__on", "order__due_on", "order__number", "order__supplier__name", "order__supplier_id")
    rows = OrderLine.objects.filter(order__on__lte=on).order_by("order__on", "order_id", "pk")
    return list(rows.values_list("order__closed_on", "order_id", "material_id", "quantity", *of_order))


def _coming(lines: Iterable[tuple[Any, ...]], on: date) -> dict[int, tuple[Coming, ...]]:
    rows = [row for closed_on, *row in lines if closed_on is None or closed_on > on]
    brought = _brought(_standing().filter(on__lte=on, order__isnull=False)) if rows else {}
    found: dict[tuple[int, int], Decimal] = defaultdict(lambda: ZERO)
    for (order, material, *_), rest in zip(
        rows, _rests([(row[0], row[1], row[2]) for row in rows], brought), strict=True
    ):
        found[material, order] += rest
    order_of = {row[0]: row[3:] for row in rows}
    answer: dict[int, list[Coming]] = defaultdict(list)
    for (material, order), rest in found.items():
        if rest:
            answer[material].append(Coming(rest, *order_of[order]))
    return {material: tuple(each) for material, each in answer.items()}


def lead_times(on: date) -> dict[int, tuple[int, ...]]:
    """By supplier (id) the days from the order to its first delivery, of the newest twelve orders that were delivered by `on`, the
    oldest first. One query."""
    rows = (
        _standing().filter(order__isnull=False, on__lte=on).values_list("order__supplier_id", "order_id", "order__on")
    )
    found: dict[int, list[int]] = defaultdict(list)
    for supplier, _, ordered, first in rows.annotate(first=Min("on")).order_by("order__on", "order_id"):
        found[supplier].append((first - ordered).days)
    return {supplier: tuple(days[-NEWEST:]) for supplier, days in found.items()}


def orders() -> QuerySet[Order]:
    """Every order and whether it is `awaited`: those first, then the newest."""
    awaited = Case(When(pk__in=_awaited(), then=Value(True)), default=Value(False), output_field=BooleanField())
    return Order.objects.select_related("supplier").annotate(awaited=awaited).order_by("-awaited", "-on", "-pk")


def awaited() -> list[Order]:
    """The orders of which something is still to come, the oldest first."""
    rows = Order.objects.filter(pk__in=_awaited()).select_related("supplier")
    return list(rows.order_by("on", "pk"))


def standings(of: Iterable[Order]) -> dict[int, Standing]:
    """How each of the orders stands, by its id. Two queries, however many there are."""
    rows = {order.pk: order for order in of}
    lines = list(
        OrderLine.objects.filter(order__in=rows).select_related("material", "order").order_by("order_id", "pk")
    )
    brought = _brought(_standing().filter(order__in=rows))
    rests = _rests([(line.order_id, line.material_id, line.quantity) for line in lines], brought)
    stand: dict[int, list[LineStanding]] = {pk: [] for pk in rows}
    for line, rest in zip(lines, rests, strict=True):
        stand[line.order_id].append(LineStanding(line, rest))
    return {
        pk: Standing(
            rules.state(
                closed=row.closed_on is not None, delivered=pk in brought, rest=[each.rest for each in stand[pk]]
            ),
            tuple(stand[pk]),
        )
        for pk, row in rows.items()
    }


def standing(order: Order) -> Standing:
    return standings([order])[order.pk]


def not_named(supplier: str, materials: Iterable[Material]) -> list[tuple[Material, str]]:
    """Which of the materials are outstanding on an open order (number) of the supplier called so; each once, on the oldest."""
    stand = standings(row for row in awaited() if row.supplier.name == supplier.strip())
    found = []
    for material in materials:
        of = [each for each in stand.values() if each.rest(material.pk)]
        if of:
            found.append((material, of[0].lines[0].line.order.number))
    return found


def deliveries(order: Order) -> QuerySet[Delivery]:
    """What came against an order, reversed and corrected deliveries among it, the oldest first."""
    corrected = Case(When(pk__in=_corrected(), then=Value(True)), default=Value(False), output_field=BooleanField())
    rows = order.deliveries.select_related("posting__reversed_by").annotate(corrected=corrected)
    return rows.annotate(total=Sum("posting__movements__value")).order_by("on", "pk")


def next_number() -> str:
    """The number after the highest O<n> in use."""
    numbers = (re.fullmatch(r"[Oo](\d{1,6})", number) for number in Order.objects.values_list("number", flat=True))
    return f"O{max((int(found[1]) for found in numbers if found), default=0) + 1}"


def holds_money(**_: object) -> bool:
    """Answers `inventory.base.signals.money_sought`: a price that is expected, a price break, a carriage."""
    rows = (
        OrderLine.objects.filter(pack_price__gt=0),
        Material.objects.exclude(price_breaks=""),
        Supplier.objects.filter(Q(carriage__gt=0) | Q(carriage_free_from__gt=0)),
    )
    return any(row.exists() for row in rows)


def search(words: str) -> QuerySet[Order]:
    """Orders by number, the supplier's reference and note."""
    return hits(Order.objects.select_related("supplier"), words, ("number", "ref", "note"))


def _corrected() -> QuerySet[CorrectedLine, int]:
    rows = CorrectedLine.objects.filter(movement__posting__reversed_by__isnull=True)
    return rows.values_list("line__delivery", flat=True)


def _standing() -> QuerySet[Delivery]:
    """Deliveries that came: neither reversed nor corrected."""
    return Delivery.objects.filter(posting__reversed_by__isnull=True).exclude(pk__in=_corrected())


def _brought(rows: QuerySet[Delivery]) -> dict[int, dict[int, Decimal]]:
    """By order (id) and material (id) what these deliveries brought, in base units."""
    by = rows.order_by().values_list("order_id", "lines__movement__material_id")
    found: dict[int, dict[int, Decimal]] = defaultdict(dict)
    for order, material, quantity in by.annotate(brought=Sum("lines__movement__quantity")):
        if order is not None:
            found[order][material] = quantity
    return found


def _rests(lines: Iterable[tuple[int, int, Decimal]], brought: Mapping[int, Mapping[int, Decimal]]) -> list[Decimal]:
    """What is outstanding of each line (order, material, quantity), given in the order of their orders."""
    of: dict[int, list[tuple[int, Decimal]]] = defaultdict(list)
    for order, material, quantity in lines:
        of[order].append((material, quantity))
    return [rest for order, each in of.items() for rest in rules.outstanding(each, brought.get(order, {}))]


def _awaited() -> list[int]:
    """The ids of the orders that are not closed and of which something is outstanding. Two queries."""
    rows = OrderLine.objects.filter(order__closed_on__isnull=True).order_by("order_id", "pk")
    lines = list(rows.values_list("order_id", "material_id", "quantity"))
    brought = _brought(_standing().filter(order__closed_on__isnull=True, order__isnull=False))
    rests = _rests(lines, brought)
    return list(dict.fromkeys(line[0] for line, rest in zip(lines, rests, strict=True) if rest))
