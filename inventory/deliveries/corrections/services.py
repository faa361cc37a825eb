"""A delivery that never came, or was entered twice, is taken out again although some of it was used since."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from inventory import units
from inventory.base import checks
from inventory.base.services import service
from inventory.deliveries import selectors as deliveries
from inventory.deliveries.corrections import selectors as corrections
from inventory.deliveries.corrections.models import CorrectedLine
from inventory.deliveries.models import Delivery
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.ledger.models import Kind, Posting
from inventory.money import ZERO
from inventory.permits import Act, Person, author


@service(Act.GOODS, makes=Posting)
def correct(
    *,
    delivery: Delivery,
    on: date,
    reason: str,
    seen: str | None = None,
    quantities: Mapping[int, Decimal] | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Posting:
    """Take out what is left of every line, at its value; what was used keeps its cost. Both entries stay.

    `seen`: the figures as they were shown (`corrections.seen`); others are refused, to be shown again. `quantities`: by line
    (id) and in base units what a file says was taken out.
    """
    checks.day(on)
    reason = checks.text(reason, "The reason", field="reason", longest=200, needed=True)
    if on < delivery.on:
        raise Refused(f"A delivery of {delivery.on} cannot be corrected on {on}, before it came.", field="on")
    lines = list(deliveries.lines(delivery))
    rows = ledger.lock(line.movement.material for line in lines)
    if hasattr(Posting.objects.select_related("reversed_by").get(pk=delivery.posting_id), "reversed_by"):
        raise Refused("This delivery is reversed already: nothing of it is on the shelf.")
    if deliveries.correction(delivery) is not None:
        raise Refused("This delivery is corrected already. Reverse that entry first to correct it anew.")
    for line in lines:
        line.movement.material = rows[line.movement.material_id]
    found = corrections.parts(lines, on, quantities)
    taken = [part for part in found if part.quantity]
    if not taken:
        raise Refused(
            f"Nothing of this delivery is left on {on}: all of it was used. Correct what it was used for first, or choose a "
            "later day.",
            field="on",
        )
    for part in found:
        if quantities is not None and part.quantity < quantities.get(part.line.pk, ZERO):
            there = units.show(part.quantity, part.material.unit)
            raise Refused(f"No more than {there} of {part.material.name} can be taken out on {on}.", field="quantity")
    if seen is not None and seen != corrections.seen(found):
        raise Refused(
            "The figures below are new: the day is another, or the shelf moved meanwhile. Look at them again."
        )
    posting = Posting.objects.create(kind=Kind.CORRECTED, on=on, reason=reason, written_by=author(by))
    for part in taken:
        movement = ledger.take(posting, part.material, part.parts, part.value, part.days, "")
        CorrectedLine.objects.create(line=part.line, movement_id=movement)
    return posting
