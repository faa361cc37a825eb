"""Every movement in the order in which it was written: what the one before it left, what it cost, what its lots gave.

Walked on whole thousandths, a million of them in seconds, by the form of the rules that the pen has. A
correction, and whatever does not fit, is judged by `costflow` itself, and worded, from its rows.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import connection

from inventory import money, units
from inventory.base import selectors as workshop
from inventory.base.models import CostFlow
from inventory.ledger import costflow
from inventory.ledger.costflow import Balance
from inventory.ledger.models import Kind, Movement
from inventory.ledger.months.rules import Steps, month_of
from inventory.ledger.pen import rules
from inventory.ledger.pen.rules import PLACES
from inventory.materials.models import Material
from inventory.money import from_steps

THOUSANDTH = Decimal("0.001")
AT_ONCE = 5000
NOTHING = (0, 0)
_MOVEMENTS = """
SELECT m.id, m.material_id, CAST(m."on" AS text), m.kind, m.month, m.quantity, m.value, m.quantity_left, m.value_left,
  CASE WHEN p."on" = m."on" AND p.kind = m.kind THEN 1 ELSE 0 END, p.reverses_id
FROM inventory_movement m JOIN inventory_posting p ON p.id = m.posting_id WHERE m.id > %s ORDER BY m.id LIMIT %s
"""
_DRAWS = "SELECT id, movement_id, quantity, value FROM inventory_lotdraw WHERE id > %s ORDER BY id LIMIT %s"


class _Shelf:
    """One material's books as they grew, entry by entry: what is there, the last day, and what moved on which day; that is added up
    by day once somebody looks back."""

    __slots__ = ("entries", "last", "moved", "quantity", "value")

    def __init__(self) -> None:
        self.quantity = self.value = 0
        self.last = ""
        self.entries: list[tuple[str, int, int]] = []
        self.moved: dict[str, Steps] = {}

    def days(self, on: str) -> list[Steps]:
        """Balances at the end of `on` and of the later days written so far."""
        now = self.quantity, self.value
        if on >= self.last:
            return [now]
        for day, quantity, value in self.entries:
            before = self.moved.get(day, NOTHING)
            self.moved[day] = before[0] + quantity, before[1] + value
        self.entries.clear()
        return rules.days_before(now, [self.moved[day] for day in sorted(self.moved, reverse=True) if day > on])


def findings() -> Iterator[str]:
    """Each movement leaves what the one before it left plus itself, took what its lots gave, and costs what the cost flow says;
    each shelf holds what they say together."""
    drawn, shelves, months = _drawn(), dict[int, _Shelf](), dict[str, int]()
    places = workshop.places()
    coin = 10 ** (PLACES - places)
    for pk, material, on, kind, month, quantity, value, left, worth, agrees, reverses in _rows(_MOVEMENTS):
        shelf = shelves.get(material)
        if shelf is None:
            shelf = shelves[material] = _Shelf()
        if quantity < 0:
            gave, bore = drawn.get(pk, NOTHING)
            if gave != quantity:
                yield f"{_name(pk)} took {_said(-quantity)}; its lots gave {_said(-gave)}."
            if reverses is None and not _plain(shelf, on, kind, -quantity, -value, -bore, coin):
                days = [Balance(_said(held), _said(worth)) for held, worth in shelf.days(on)]
                row = Movement.objects.select_related("material", "corrects__line__movement").get(pk=pk)
                yield from _cost(_name(pk), row, days, _said(bore), places)
        shelf.quantity += quantity
        shelf.value += value
        shelf.entries.append((on, quantity, value))
        if on > shelf.last:
            shelf.last = on
        if shelf.quantity != left or shelf.value != worth:
            should = f"{_said(shelf.quantity)} worth {_said(shelf.value)}"
            yield f"{_name(pk)} leaves {_said(left)} worth {_said(worth)}; it should be {should}."
        if on not in months:
            months[on] = month_of(date.fromisoformat(on))
        if month != months[on] or not agrees:
            yield f"{_name(pk)} does not agree with its posting about day, month or kind."
    yield from _balances(shelves)


def _balances(shelves: dict[int, _Shelf]) -> Iterator[str]:
    nothing = _Shelf()
    for material in Material.objects.order_by("code"):
        shelf = shelves.get(material.pk, nothing)
        quantity, value = _said(shelf.quantity), _said(shelf.value)
        if quantity != material.on_hand:
            yield (
                f"{material.code}: the shelf says {units.show(material.on_hand, material.unit)}, "
                f"its movements say {units.show(quantity, material.unit)}."
            )
        if value != material.value:
            yield f"{material.code}: the shelf is worth {material.value}, its movements say {value}."


def _plain(shelf: _Shelf, on: str, kind: str, quantity: int, value: int, bore: int, coin: int) -> bool:
    """Whether it is worth what its lots gave or, were they worth nothing, what the average says."""
    if kind == Kind.CORRECTED:
        return False
    if bore:
        return bore == value
    if on >= shelf.last:
        held, worth = shelf.quantity, shelf.value
        if quantity == held:
            return value == worth
        under = held * coin
        return quantity < held and worth >= 0 and value == (2 * worth * quantity + under) // (2 * under) * coin
    days = shelf.days(on)
    if not all(quantity <= held and worth >= 0 for held, worth in days):
        return False
    return value == rules.average(days, quantity, coin)


def _drawn() -> dict[int, Steps]:
    """What the lots gave to each movement."""
    found: dict[int, Steps] = {}
    for _, movement, quantity, value in _rows(_DRAWS):
        if movement in found:
            before = found[movement]
            found[movement] = before[0] + quantity, before[1] + value
        else:
            found[movement] = quantity, value
    return found


def _rows(sql: str) -> Iterator[tuple[Any, ...]]:
    """So many at once, by their key, which comes first: no database then holds all of them ready."""
    last = 0
    with connection.cursor() as cursor:
        while True:
            cursor.execute(sql, [last, AT_ONCE])
            rows = cursor.fetchall()
            yield from rows
            if len(rows) < AT_ONCE:
                return
            last = rows[-1][0]


def _name(pk: int) -> str:
    code, on = Movement.objects.values_list("material__code", "on").get(pk=pk)
    return f"Movement {pk} ({code}, {on})"


def _said(steps: int) -> Decimal:
    return from_steps(steps, PLACES)


def _cost(name: str, row: Movement, days: list[Balance], by_lots: Decimal, places: int) -> Iterator[str]:
    """A draw is worth what its lots gave; what gave no value by lots was drawn by the average, or from goods that were free."""
    if row.kind == Kind.CORRECTED and not hasattr(row, "corrects"):
        return  # `_corrected` says so
    if by_lots:
        if by_lots != row.value:
            yield f"{name} is worth {row.value}; its lots say {by_lots}."
        return
    if -row.quantity > min(day.quantity for day in days) or min(day.value for day in days) < 0:
        yield f"{name} took {-row.quantity}; that day or a later one did not hold it."
        return
    if row.kind == Kind.CORRECTED:
        came = row.corrects.line.movement
        of = Balance(came.quantity, came.value)
        expected = costflow.taken_out_again(days, of, -row.quantity, places)
    else:
        of = days[0]
        expected = costflow.average_issue_on(days, -row.quantity, places)
    if expected == -row.value or _counted_anew(row, of, places):
        return
    if not (row.value == 0 and _free(row, places)):
        yield f"{name} is worth {row.value}; by the average it is {-expected}."


def _counted_anew(row: Movement, of: Balance, places: int) -> bool:
    """Pounds were reckoned in thousandths of a gram before they were counted in ounces: what was taken then may be worth what a
    thousandth more or less of it is."""
    if row.material.base in units.METRIC:
        return False
    least, most = (
        money.half_up(Fraction(of.value) * Fraction(taken) / Fraction(whole), places)
        for taken, whole in (
            (-row.quantity - THOUSANDTH, of.quantity + THOUSANDTH),
            (-row.quantity + THOUSANDTH, max(of.quantity - THOUSANDTH, THOUSANDTH)),
        )
    )
    return least <= -row.value <= most


def _free(row: Movement, places: int) -> bool:
    """First in, first out takes nothing for goods that cost less than half a coin, whatever the average says."""
    fifo = workshop.current().cost_flow == CostFlow.FIFO
    return fifo or not any(
        money.half_up(
            Fraction(draw.lot.movement.value) * Fraction(-draw.quantity) / Fraction(draw.lot.movement.quantity), places
        )
        for draw in row.draws.select_related("lot__movement")
    )
