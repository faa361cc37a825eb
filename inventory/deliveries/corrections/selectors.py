"""What can be taken out again of a delivery that never came, or came once and was entered twice. Writes nothing.

Of each line as much as every day since still holds. Under the average it leaves at the value that it came in with; first in,
first out takes its own lot first, then the oldest, from which the uses would have come without it.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.base import selectors as workshop
from inventory.base.models import CostFlow
from inventory.deliveries.models import Delivery, DeliveryLine
from inventory.ledger import costflow, selectors as ledger
from inventory.ledger.costflow import Balance
from inventory.ledger.models import Lot, Movement
from inventory.materials.models import Material
from inventory.money import ZERO


@dataclass(frozen=True)
class Part:
    """What is taken out of one line: `parts` are (lot, quantity, value), `days` the balances it has to fit."""

    line: DeliveryLine
    quantity: Decimal
    value: Decimal
    parts: tuple[tuple[Lot, Decimal, Decimal], ...]
    days: tuple[Balance, ...]

    @property
    def came(self) -> Movement:
        return self.line.movement

    @property
    def material(self) -> Material:
        return self.line.movement.material

    @property
    def used(self) -> Decimal:
        """What of it is no longer there."""
        return self.came.quantity - self.quantity

    @property
    def rest(self) -> Decimal:
        """Value that stays in what was made of it; below zero where more is taken out than came in."""
        return self.came.value - self.value

    @property
    def fits(self) -> bool:
        return costflow.fits(self.days, self.quantity, self.value)


def open_lots(lines: Sequence[DeliveryLine]) -> dict[int, list[Lot]]:
    """By material of the lines: its lots that hold something, the oldest first."""
    lots: dict[int, list[Lot]] = {line.movement.material_id: [] for line in lines}
    for lot in Lot.objects.filter(material__in=lots, quantity__gt=0).order_by("on", "pk"):
        lots[lot.material_id].append(lot)
    return lots


def parts(
    lines: Sequence[DeliveryLine],
    on: date,
    quantities: Mapping[int, Decimal] | None = None,
    *,
    lots: Mapping[int, list[Lot]] | None = None,
) -> list[Part]:
    """What a correction of `on` takes out of each line (with its material at hand), one after the other: as much as can be, or
    by line the `quantities` given (base unit) as far as they are there. `lots`: the open ones, where they are read already."""
    materials = {line.movement.material_id: line.movement.material for line in lines}
    days = ledger.days(materials.values(), on)
    lots = open_lots(lines) if lots is None else lots
    layers = {lot.pk: Balance(lot.quantity, lot.value) for each in lots.values() for lot in each}
    found = []
    for line in lines:
        came = line.movement
        of = sorted(lots[came.material_id], key=lambda lot: lot.movement_id != came.pk)
        there = days[came.material_id]
        # What the lots hold is asked, too: a page that only shows the figures holds no lock.
        held = sum((layers[lot.pk].quantity for lot in of), ZERO)
        most = min([came.quantity, held, *(day.quantity for day in there)])
        quantity = most if quantities is None else min(most, quantities.get(line.pk, ZERO))
        part = _part(line, quantity, of, layers, there)
        days[came.material_id] = [day.less(part.quantity, part.value) for day in there]
        for lot, amount, value in part.parts:
            layers[lot.pk] = layers[lot.pk].less(amount, value)
        found.append(part)
    return found


def _part(
    line: DeliveryLine, quantity: Decimal, lots: list[Lot], layers: Mapping[int, Balance], days: list[Balance]
) -> Part:
    came, places = line.movement, workshop.places()
    takes = costflow.fifo_issue([layers[lot.pk] for lot in lots], quantity, places)
    if workshop.current().cost_flow == CostFlow.FIFO:
        value = sum((take.value for take in takes), ZERO)
    else:
        value = (
            costflow.taken_out_again(days, Balance(came.quantity, came.value), quantity, places) if quantity else ZERO
        )
    drawn = tuple((lots[take.index], take.quantity, take.value) for take in takes)
    return Part(line, quantity, value, drawn, tuple(days))


def seen(found: Sequence[Part]) -> str:
    """The figures as one text: what was shown is what is written, or it is shown again."""
    return " ".join(f"{part.line.pk}:{part.quantity.normalize():f}:{part.value:f}" for part in found)


def best_day(delivery: Delivery, lines: Sequence[DeliveryLine], lots: Mapping[int, list[Lot]] | None = None) -> date:
    """The day of the delivery, as if it had never come, where all can be taken out then; else today."""
    closed, today = workshop.current().closed_to, workshop.today()
    if closed and delivery.on <= closed:
        return today
    whole = all(part.fits and not part.used for part in parts(lines, delivery.on, lots=lots))
    return delivery.on if whole else max(today, delivery.on)
