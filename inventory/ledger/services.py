"""The stock ledger's only pen: receive, issue, count, reverse.

Every function is one transaction, locks the materials it touches in id order, and writes movements that are never edited.
Value follows the workshop's cost flow (`costflow`); the last draw from a shelf takes the value that remains. No day, past or
present, is left with less than nothing, and no empty shelf with a value.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from inventory import units
from inventory.base import checks, selectors as workshop_read, services as entries
from inventory.base.models import CostFlow
from inventory.base.selectors import coins, places
from inventory.base.services import service
from inventory.errors import Refused, ShortStock, in_row
from inventory.ledger import costflow, selectors as ledger
from inventory.ledger.models import INWARD, Kind, Lot, LotDraw, Movement, Posting
from inventory.ledger.pen import rules, services as pen
from inventory.ledger.pen.rules import PLACES, Line, Part, Shelf, steps
from inventory.materials.models import Material
from inventory.money import allocate, from_steps, half_up
from inventory.permits import Act, Person, author

TYPED_LONGEST = 60
Parts = Sequence[tuple[Lot, Decimal, Decimal]]  # quantity and value


@dataclass(frozen=True)
class Arrival:
    """What comes in: quantity in the material's base unit, value in money."""

    material: Material
    quantity: Decimal
    value: Decimal
    typed: str = ""


@dataclass(frozen=True)
class Draw:
    """What is taken: quantity in the material's base unit."""

    material: Material
    quantity: Decimal
    typed: str = ""


def lock(materials: Iterable[Material]) -> dict[int, Material]:
    """The rows to write, locked in id order: two postings that share materials then wait for each other and never deadlock."""
    ids = {material.pk for material in materials}
    return {row.pk: row for row in Material.objects.select_for_update().filter(pk__in=ids).order_by("pk")}


@service(Act.GOODS, makes=Posting)
def receive(
    *,
    kind: Kind,
    on: date,
    arrivals: Sequence[Arrival],
    by: Person = None,
    reason: str = "",
    request_key: str | None = None,
) -> Posting:
    """Put arrivals on the shelf, each as a lot of its own. Refuses nothing, negatives, closed days."""
    _judge(on, arrivals)
    shelves = pen.shelves({each.material.pk for each in arrivals}, on, lines=len(arrivals), to_draw=False)
    lines = [_in(shelves, on, each.material.pk, each.quantity, each.value, each.typed) for each in arrivals]
    return pen.post(kind, on, _reason(reason), author(by), lines, shelves)


@service(Act.SHED, makes=Posting)
def issue(
    *,
    kind: Kind,
    on: date,
    draws: Sequence[Draw],
    by: Person = None,
    reason: str = "",
    request_key: str | None = None,
    also: Callable[[], str] | None = None,
) -> Posting:
    """Take draws from the shelf. All or nothing: one short line refuses the whole, and the refusal names every short line.

    `also` tells a further way out that the caller knows (a smaller batch), added to the refusal's text.
    """
    _judge(on, draws)
    shelves = pen.shelves({each.material.pk for each in draws}, on, lines=len(draws))
    _refuse_short(shelves, draws, on, also)
    lines = [_out(shelves, each) for each in draws]
    return pen.post(kind, on, _reason(reason), author(by), lines, shelves)


@service(Act.GOODS, makes=Posting)
def count(
    *,
    on: date,
    material: Material,
    counted: Decimal,
    by: Person = None,
    reason: str = "",
    request_key: str | None = None,
    typed: str = "",
) -> Posting | None:
    """Post the difference between what was counted and what the ledger holds on `on`; None when they agree.

    A surplus comes in at the present average cost (nothing when the shelf had no value); a lack goes out as any draw does.
    """
    checks.day(on)
    checks.not_negative(counted, f"The count of {material.name}", field="counted")
    reason = _reason(reason) or "count difference"
    shelves = pen.shelves([material.pk], on, lines=1)
    shelf = shelves[material.pk]
    difference = steps(counted) - shelf.days[0][0]
    if not difference:
        return None
    amount = from_steps(abs(difference), PLACES)
    if difference < 0:
        draw = Draw(material, amount, typed)
        _refuse_short(shelves, [draw], on, None)
        line = _out(shelves, draw)
    else:
        worth = Fraction(shelf.worth, 1000) * Fraction(difference, shelf.held) if shelf.held else Fraction(0)
        line = _in(shelves, on, material.pk, amount, half_up(worth, places()), typed)
    return pen.post(Kind.COUNT, on, reason, author(by), [line], shelves)


def reversed_by(posting: Posting, **_: object) -> Act:
    """What somebody must be allowed to do who reverses it."""
    return Act.GOODS if posting.kind in (*INWARD, Kind.COUNT, Kind.CORRECTED) else Act.SHED


@service(reversed_by, makes=Posting)
def reverse(
    *, posting: Posting, by: Person = None, reason: str, on: date | None = None, request_key: str | None = None
) -> Posting:
    """Reverse a posting by a linked one, on the same day unless that day is closed and `on` names another.

    Goods that came in can be reversed only while nothing of them was used since; the refusal says what to reverse first.
    """
    movements = list(posting.movements.select_related("material").order_by("-pk"))
    rows = lock(movement.material for movement in movements)
    back = entries.reverse(
        posting,
        lambda row, day: Posting(kind=row.kind, on=day, reason=_reason(reason, needed=True)),
        already="This entry is reversed already. Enter it again if it was right after all.",
        on=on,
        writer=author(by),
    )
    for movement in movements:
        _put_back(back, rows[movement.material_id], movement)
    return back


def _judge(on: date, entered: Sequence[Arrival | Draw]) -> None:
    """Refuses a closed day, nothing, and a row of nothing."""
    checks.day(on)
    if not entered:
        raise Refused("Nothing was entered. Give at least one material and its amount.")
    for at, each in enumerate(entered):
        with in_row(at):
            checks.positive(each.quantity, f"The quantity of {each.material.name}", field="quantity")
            if isinstance(each, Arrival):
                checks.not_negative(each.value, f"The value of {each.material.name}", field="value")


def _reason(text: str, *, needed: bool = False) -> str:
    return checks.text(text, "The reason", field="reason", longest=200, needed=needed)


def _refuse_short(
    shelves: Mapping[int, Shelf], draws: Sequence[Draw], on: date, also: Callable[[], str] | None
) -> None:
    wanted: dict[int, int] = {}
    for draw in draws:
        wanted[draw.material.pk] = wanted.get(draw.material.pk, 0) + steps(draw.quantity)
    there = {pk: max(shelves[pk].least, 0) for pk in wanted}
    if short := [pk for pk in wanted if wanted[pk] > there[pk]]:
        names = {draw.material.pk: draw.material.name for draw in draws}
        first = next(at for at, draw in enumerate(draws) if draw.material.pk in short)
        lines = [(names[pk], _shown(wanted[pk], shelves[pk]), _shown(there[pk], shelves[pk])) for pk in short]
        raise ShortStock(lines, str(on), also=also() if also else "", row=first)


def _shown(quantity: int, shelf: Shelf) -> str:
    return units.show(from_steps(quantity, PLACES), shelf.unit)


def _fifo() -> bool:
    return workshop_read.current().cost_flow == CostFlow.FIFO


def _in(shelves: Mapping[int, Shelf], on: date, material: int, quantity: Decimal, value: Decimal, typed: str) -> Line:
    """What comes in, and the shelf with it."""
    shelf, amount, worth = shelves[material], steps(quantity), steps(value)
    left = shelf.move(amount, worth)
    expires = on + timedelta(days=shelf.shelf_life) if shelf.shelf_life else None
    text = _typed(typed, quantity, shelf.unit)
    return Line(material, amount, worth, left, text, lot_value=worth if _fifo() else 0, expires=expires)


def _out(shelves: Mapping[int, Shelf], draw: Draw) -> Line:
    """What leaves, and the shelf without it. Value by the cost flow; which lots gave the goods is kept under both, oldest first."""
    shelf, quantity, coin = shelves[draw.material.pk], steps(draw.quantity), 10 ** (PLACES - places())
    before = None if shelf.late else (shelf.held, shelf.worth)
    parts = rules.from_lots(shelf.lots, quantity, coin)
    value = -sum(part.value for part in parts) if _fifo() else rules.average(shelf.days, quantity, coin)
    if not rules.fits(shelf.days, quantity, value):
        raise _misfit(draw.material, draw.quantity, from_steps(value, PLACES))
    left = shelf.move(-quantity, -value, parts)
    typed = _typed(draw.typed, draw.quantity, shelf.unit)
    return Line(draw.material.pk, -quantity, -value, left, typed, before, parts)


def _typed(typed: str, quantity: Decimal, unit: str) -> str:
    return (typed or units.kept(quantity, unit))[:TYPED_LONGEST]


def take(
    posting: Posting, row: Material, parts: Parts, value: Decimal, days: Sequence[costflow.Balance], typed: str
) -> int:
    """For services that hold the lock: what leaves at a `value` worked out on the rows as they stand, and each lot's part of
    it. Refuses what one of the `days` (`ledger.day_balances`) cannot bear. Answers the movement's key."""
    quantity = sum((part for _, part, _ in parts), Decimal(0))
    if not costflow.fits(days, quantity, value):
        raise _misfit(row, quantity, value)
    return _move(posting, row, -quantity, -value, typed, [(lot, -part, -worth) for lot, part, worth in parts])


def _move(posting: Posting, row: Material, quantity: Decimal, value: Decimal, typed: str, parts: Parts) -> int:
    """One movement with the part of each lot, signed, on rows that the caller has locked and reads on: they are changed too."""
    row.on_hand += quantity
    row.value += value
    borne = []
    for lot, amount, worth in parts:
        lot.quantity += amount
        lot.value += worth
        borne.append(Part(lot.pk, steps(amount), steps(worth), (steps(lot.quantity), steps(lot.value))))
    left = steps(row.on_hand), steps(row.value)
    line = Line(row.pk, steps(quantity), steps(value), left, _typed(typed, abs(quantity), row.unit), parts=borne)
    return pen.write(posting, line)


def _put_back(back: Posting, row: Material, movement: Movement) -> None:
    if movement.quantity > 0:
        lot = Lot.objects.select_for_update().get(movement=movement)
        _refuse_used(row, movement, lot)
        days = ledger.day_balances(row, back.on)
        take(back, row, [(lot, lot.quantity, lot.value)], movement.value, days, movement.typed)
        return
    draws = list(movement.draws.select_related("lot").order_by("pk"))
    values = _values_back(draws, -movement.value)
    parts = [(draw.lot, -draw.quantity, value) for draw, value in zip(draws, values, strict=True)]
    _move(back, row, -movement.quantity, -movement.value, movement.typed, parts)


def _values_back(draws: Sequence[LotDraw], value: Decimal) -> list[Decimal]:
    """What each lot gets back: nothing under the average, else what it gave, or by quantity if it gave under the average."""
    if not _fifo():
        return [Decimal(0)] * len(draws)
    gave = [-draw.value for draw in draws]
    return gave if sum(gave) == value else allocate(value, [-draw.quantity for draw in draws], places())


def _misfit(row: Material, quantity: Decimal, value: Decimal) -> Refused:
    """Entries that were written out of the order of their days can leave a day between without the value to bear this one."""
    return Refused(
        f"{row.name} moved on later days at another cost, and {units.show(quantity, row.unit)} worth {coins(value)} "
        "cannot be taken out before them. Reverse the later entries first, newest first, and write them again in the order "
        "of their days.",
        field="on",
    )


def _refuse_used(row: Material, movement: Movement, lot: Lot) -> None:
    """Under the average a receipt mixes with the rest as soon as anything moves; first in, first out asks for a whole lot."""
    if lot.quantity != movement.quantity or (not _fifo() and not ledger.untouched_since(movement)):
        raise Refused(
            f"{row.name} was moved after this entry, so it cannot be reversed as if it never came. Reverse the later entries "
            "first, newest first, correct the delivery on its page, or correct the shelf with a stocktake."
        )
    if _fifo() and lot.value != movement.value:
        raise Refused(
            f"{row.name} of {lot.on} came in at {coins(movement.value)} and was revalued at {coins(lot.value)} "
            "when the valuation method was changed, so it cannot be reversed. Correct the shelf with a stocktake."
        )
