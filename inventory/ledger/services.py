"""The stock ledger's only pen: receive, issue, count, reverse.

Every function is one transaction, locks the materials it touches in id order, and writes movements that are never edited.
Value follows the workshop's cost flow (`costflow`); the last draw from a shelf takes the value that remains. No day, past or
present, is left with less than nothing, and no empty shelf with a value.
"""

from collections.abc import Iterable, Sequence
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
from inventory.ledger.months import services as months
from inventory.ledger.months.rules import month_of
from inventory.materials.models import Material
from inventory.money import allocate, half_up
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
    workshop_read.forget()  # the valuation method may be changed while this waits
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
    rows = _judged(on, arrivals)
    posting = Posting.objects.create(kind=kind, on=on, reason=_reason(reason), written_by=author(by))
    for arrival in arrivals:
        _take_in(posting, rows[arrival.material.pk], arrival.quantity, arrival.value, arrival.typed)
    return posting


@service(Act.SHED, makes=Posting)
def issue(
    *,
    kind: Kind,
    on: date,
    draws: Sequence[Draw],
    by: Person = None,
    reason: str = "",
    request_key: str | None = None,
    also: str = "",
) -> Posting:
    """Take draws from the shelf. All or nothing: one short line refuses the whole, and the refusal names every short line.

    `also` is a further way out that the caller knows (a smaller batch), added to the refusal's text.
    """
    rows = _judged(on, draws)
    _refuse_short(rows, draws, on, also)
    posting = Posting.objects.create(kind=kind, on=on, reason=_reason(reason), written_by=author(by))
    for draw in draws:
        _take_out(posting, rows[draw.material.pk], draw.quantity, draw.typed)
    return posting


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
    row = lock([material])[material.pk]
    held = ledger.balances(on, [row]).get(row.pk, costflow.Balance()).quantity
    difference = counted - held
    if difference == 0:
        return None
    if difference < 0:
        _refuse_short({row.pk: row}, [Draw(row, -difference)], on, "")
    posting = Posting.objects.create(kind=Kind.COUNT, on=on, reason=reason, written_by=author(by))
    if difference < 0:
        _take_out(posting, row, -difference, typed)
        return posting
    worth = Fraction(row.value) * Fraction(difference) / Fraction(row.on_hand) if row.on_hand else Fraction(0)
    _take_in(posting, row, difference, half_up(worth, places()), typed)
    return posting


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
    back = entries.reverse(
        posting,
        lambda row, day: Posting(kind=row.kind, on=day, reason=_reason(reason, needed=True)),
        already="This entry is reversed already. Enter it again if it was right after all.",
        on=on,
        writer=author(by),
    )
    movements = list(posting.movements.select_related("material").order_by("-pk"))
    rows = lock(movement.material for movement in movements)
    for movement in movements:
        _put_back(back, rows[movement.material_id], movement)
    return back


def _judged(on: date, entered: Sequence[Arrival | Draw]) -> dict[int, Material]:
    """Refuses a closed day, nothing, and a row of nothing; answers the materials, locked."""
    checks.day(on)
    if not entered:
        raise Refused("Nothing was entered. Give at least one material and its amount.")
    for at, each in enumerate(entered):
        with in_row(at):
            checks.positive(each.quantity, f"The quantity of {each.material.name}", field="quantity")
            if isinstance(each, Arrival):
                checks.not_negative(each.value, f"The value of {each.material.name}", field="value")
    return lock(each.material for each in entered)


def _reason(text: str, *, needed: bool = False) -> str:
    return checks.text(text, "The reason", field="reason", longest=200, needed=needed)


def _refuse_short(rows: dict[int, Material], draws: Sequence[Draw], on: date, also: str) -> None:
    wanted: dict[int, Decimal] = {}
    for draw in draws:
        wanted[draw.material.pk] = wanted.get(draw.material.pk, Decimal(0)) + draw.quantity
    short = {}
    for pk, quantity in wanted.items():
        there, unit = ledger.available(rows[pk], on), rows[pk].unit
        if quantity > there:
            short[pk] = (rows[pk].name, units.show(quantity, unit), units.show(max(there, Decimal(0)), unit))
    if short:
        first = next(at for at, draw in enumerate(draws) if draw.material.pk in short)
        raise ShortStock(list(short.values()), str(on), also=also, row=first)


def _move(posting: Posting, row: Material, quantity: Decimal, value: Decimal, typed: str) -> Movement:
    """Write one movement, the balance it leaves and its month's. The row is locked by the caller."""
    row.on_hand += quantity
    row.value += value
    row.save(update_fields=["on_hand", "value"])
    months.keep(posting.kind, posting.on, [(row.pk, quantity, value)])
    return Movement.objects.create(
        posting=posting,
        material=row,
        kind=posting.kind,
        on=posting.on,
        month=month_of(posting.on),
        quantity=quantity,
        value=value,
        quantity_left=row.on_hand,
        value_left=row.value,
        typed=(typed or units.kept(abs(quantity), row.unit))[:TYPED_LONGEST],
    )


def _fifo() -> bool:
    return workshop_read.current().cost_flow == CostFlow.FIFO


def _take_in(posting: Posting, row: Material, quantity: Decimal, value: Decimal, typed: str) -> None:
    movement = _move(posting, row, quantity, value, typed)
    expires = posting.on + timedelta(days=row.shelf_life_days) if row.shelf_life_days else None
    worth = value if _fifo() else Decimal(0)
    Lot.objects.create(
        material=row, movement=movement, on=posting.on, expires_on=expires, quantity=quantity, value=worth
    )


def _take_out(posting: Posting, row: Material, quantity: Decimal, typed: str) -> None:
    """Value by the cost flow; which lots gave the goods is kept under both, oldest first."""
    lots = list(ledger.open_lots(row).select_for_update())
    days = ledger.day_balances(row, posting.on)
    takes = costflow.fifo_issue([costflow.Balance(lot.quantity, lot.value) for lot in lots], quantity, places())
    by_lots = sum((each.value for each in takes), Decimal(0))
    value = by_lots if _fifo() else costflow.average_issue_on(days, quantity, places())
    take(posting, row, [(lots[each.index], each.quantity, each.value) for each in takes], value, days, typed)


def take(
    posting: Posting, row: Material, parts: Parts, value: Decimal, days: Sequence[costflow.Balance], typed: str
) -> Movement:
    """For services that hold the lock: what leaves at a `value` worked out on the rows as they stand, and each lot's part of
    it. Refuses what one of the `days` (`ledger.day_balances`) cannot bear."""
    quantity = sum((part for _, part, _ in parts), Decimal(0))
    _refuse_misfit(row, days, quantity, value)
    movement = _move(posting, row, -quantity, -value, typed)
    _draw(movement, [(lot, -part, -worth) for lot, part, worth in parts])
    return movement


def _put_back(back: Posting, row: Material, movement: Movement) -> None:
    if movement.quantity > 0:
        lot = Lot.objects.select_for_update().get(movement=movement)
        _refuse_used(row, movement, lot)
        days = ledger.day_balances(row, back.on)
        take(back, row, [(lot, lot.quantity, lot.value)], movement.value, days, movement.typed)
        return
    written = _move(back, row, -movement.quantity, -movement.value, movement.typed)
    draws = list(movement.draws.select_related("lot").order_by("pk"))
    values = _values_back(draws, -movement.value)
    _draw(written, [(draw.lot, -draw.quantity, value) for draw, value in zip(draws, values, strict=True)])


def _draw(movement: Movement, parts: Parts) -> None:
    """Write what each lot bore of a movement: quantity and value as they change the lot."""
    for lot, quantity, value in parts:
        lot.quantity += quantity
        lot.value += value
        lot.save(update_fields=["quantity", "value"])
    LotDraw.objects.bulk_create(
        LotDraw(movement=movement, lot=lot, quantity=quantity, value=value) for lot, quantity, value in parts
    )


def _values_back(draws: Sequence[LotDraw], value: Decimal) -> list[Decimal]:
    """What each lot gets back: nothing under the average, else what it gave, or by quantity if it gave under the average."""
    if not _fifo():
        return [Decimal(0)] * len(draws)
    gave = [-draw.value for draw in draws]
    return gave if sum(gave) == value else allocate(value, [-draw.quantity for draw in draws], places())


def _refuse_misfit(row: Material, days: Sequence[costflow.Balance], quantity: Decimal, value: Decimal) -> None:
    """Entries that were written out of the order of their days can leave a day between without the value to bear this one."""
    if not costflow.fits(days, quantity, value):
        raise Refused(
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
