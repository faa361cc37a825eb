"""The ledger checked from its movements: every balance, every cost, every delivery. Reads everything, writes nothing.

Each finding is one sentence that names the record, what stands there and what the movements say.
"""

from collections import defaultdict
from collections.abc import Iterator

from django.db import connection

from inventory import money
from inventory.articles.models import Article
from inventory.base import bought, selectors as workshop
from inventory.base.models import CostFlow
from inventory.deliveries.models import Delivery, DeliveryLine
from inventory.ledger.audit.walk import selectors as walk
from inventory.ledger.costflow import Balance
from inventory.ledger.models import Kind, Lot, Movement, Posting
from inventory.ledger.months import selectors as months
from inventory.materials.models import Material
from inventory.money import ZERO
from inventory.places.moves import selectors as moves
from inventory.places.moves.models import OUT

# Row by row as they lie: in the order of the index each row would have to be looked for.
_DRAWN = "SELECT lot_id, SUM(quantity) FROM inventory_lotdraw GROUP BY lot_id + 0, lot_id"


def findings() -> Iterator[str]:
    """Every difference on the ground floor; nothing when the books are clean."""
    for check in (walk.findings, _lots, _reversals, _deliveries, _corrected, _gone, _months):
        yield from check()


def _lots() -> Iterator[str]:
    drawn = _drawn()
    held: dict[int, Balance] = defaultdict(Balance)
    for lot in Lot.objects.select_related("material", "movement"):
        expected = lot.movement.quantity + money.from_steps(drawn.get(lot.pk, 0), 3)
        if expected != lot.quantity:
            yield f"Lot {lot.pk} ({lot.material.code}, {lot.on}) holds {lot.quantity}; its draws say {expected}."
        held[lot.material_id] = held[lot.material_id].plus(lot.quantity, lot.value)
    fifo = workshop.current().cost_flow == CostFlow.FIFO
    for material in Material.objects.order_by("code"):
        quantity, value = held[material.pk]
        if quantity != material.on_hand:
            yield f"{material.code}: the shelf holds {material.on_hand}; its lots hold {quantity}."
        if fifo and value != material.value:
            yield f"{material.code}: the shelf is worth {material.value}; its lots are worth {value}."


def _drawn() -> dict[int, int]:
    """Thousandths that were drawn on each lot."""
    with connection.cursor() as cursor:
        cursor.execute(_DRAWN)
        return {lot: int(quantity) for lot, quantity in cursor.fetchall()}


def _reversals() -> Iterator[str]:
    for back in (
        Posting.objects.filter(reverses__isnull=False)
        .select_related("reverses")
        .prefetch_related("movements", "reverses__movements")
    ):
        taken = sorted((m.material_id, -m.quantity, -m.value) for m in back.movements.all())
        original = sorted((m.material_id, m.quantity, m.value) for m in back.reverses.movements.all())  # type: ignore[union-attr]
        if taken != original:
            yield f"Posting {back.pk} does not reverse exactly what posting {back.reverses_id} wrote."


def _deliveries() -> Iterator[str]:
    places = workshop.places()
    for delivery in Delivery.objects.prefetch_related("lines__movement__material"):
        lines = list(delivery.lines.all())
        shared = sum((line.carriage_share for line in lines), ZERO)
        if shared != delivery.freight:
            yield f"Delivery {delivery} has carriage {delivery.freight}; its lines share {shared}."
        yield from _input_tax(delivery, lines, places)
        for line in lines:
            goods = money.half_up(line.packs * line.pack_price, places) - (line.tax if delivery.with_tax else 0)
            expected = goods + line.carriage_share
            if expected != line.movement.value:
                name = f"Delivery {delivery}, {line.movement.material.code}"
                yield f"{name}: came in at {line.movement.value}; packs and carriage say {expected}."


def _input_tax(delivery: Delivery, lines: list[DeliveryLine], places: int) -> Iterator[str]:
    """The deducted tax of each line and of the carriage is what prices and rates say, rounded once a rate."""
    typed = [money.half_up(line.packs * line.pack_price, places) for line in lines]
    rates = [line.tax_percent for line in lines]
    parts = bought.parts(
        [*typed, delivery.carriage], [*rates, delivery.tax_percent], with_tax=delivery.with_tax, places=places
    )
    stands, expected = [*(line.tax for line in lines), delivery.tax], [part.tax for part in parts]
    if stands != expected:
        deducted, due = (workshop.coins(sum(each, ZERO)) for each in (stands, expected))
        yield f"Delivery {delivery} deducts {deducted} of tax; its prices and rates say {due}."


def _corrected() -> Iterator[str]:
    """What was taken out of a delivery is a correction of it that stands alone, and no more of a line than came."""
    standing: dict[int, list[Movement]] = defaultdict(list)
    for row in Movement.objects.filter(kind=Kind.CORRECTED, posting__reverses__isnull=True).select_related(
        "posting__reversed_by", "corrects__line__movement"
    ):
        if not hasattr(row, "corrects"):
            yield f"Movement {row.pk} corrects a delivery, and no line of one names it."
        elif not hasattr(row.posting, "reversed_by"):
            standing[row.corrects.line_id].append(row)
    for rows in standing.values():
        came = rows[0].corrects.line.movement
        if len(rows) > 1 or -rows[0].quantity > came.quantity or rows[0].material_id != came.material_id:
            yield f"Movement {came.pk} brought {came.quantity}; {-sum(row.quantity for row in rows)} of it is taken out again."


def _gone() -> Iterator[str]:
    """A piece is gone, or here, as its last move says."""
    last = {
        row["article"]: (row["on"], row["why"])
        for row in moves.standing().filter(article__isnull=False).values("article", "on", "why")
    }
    for article in Article.objects.order_by("pk"):
        on, why = last.get(article.pk, (None, ""))
        expected = (on, why) if why in OUT else (None, "")
        if (article.gone_on, article.gone_why) != expected:
            stands = f"{article.gone_why} on {article.gone_on}" if article.gone_on else "here"
            said = f"{why} on {on}" if why in OUT else "here"
            yield f"Article {article.number} is marked {stands}; its last move says {said}."


def _months() -> Iterator[str]:
    """Each month's balances are what the movements add up to; worked out from the movements alone, on whole thousandths."""
    codes = dict(Material.objects.values_list("pk", "code"))
    for pk, month, kept, moved in months.differing():
        name = f"{codes[pk]} in {month // 12:04d}-{month % 12 + 1:02d}"
        if not kept:
            yield f"{name} has no month balance, and movements that need one."
        elif not moved:
            yield f"{name} has a month balance without any movement."
        else:
            at = next(each for each in kept if kept[each] != moved[each])
            said, should = (money.from_steps(side[at], 3) for side in (kept, moved))
            yield f"{name}: the month balance says {at.replace('_', ' ')} {said}, the movements say {should}."
