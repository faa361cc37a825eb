"""What went for less or for nothing, and what came back: discounts, price cuts, returns, gifts, own use, losses.

Deposits taken are counted with them, because they too are promises to keep in mind.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import groupby

from django.db.models import Prefetch

from costing.make.cost import selectors as cost
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.losses import selectors as losses
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale, SaleLine
from inventory import units
from inventory.base import selectors as workshop
from inventory.models import Kind, Move, Movement, Skin
from inventory.money import ZERO, half_up
from inventory.places.moves import selectors as moves
from inventory.report import Cells, Link

DISCOUNT, CUT, RETURN, GIVEN, OWN_USE, SPOILED, DEPOSIT = (
    "discount", "price cut", "return", "given away", "own use", "spoiled", "deposit taken",
)  # fmt: skip

# A piece's move and a material's posting have the same names for why they went.
NAMES = {
    Move.Why.OWN_USE.value: OWN_USE,
    Move.Why.GIVEN.value: GIVEN,
    Move.Why.SPOILED.value: SPOILED,
    Move.Why.MISSING.value: SPOILED,
}
Entry = tuple[str, str, Decimal]


@dataclass(frozen=True)
class Unsold:
    """A piece or a material that left without a sale, at book cost. `posting` is a material's, by its id."""

    on: date
    why: str
    reason: str
    value: Decimal
    what: Link
    posting: int | None = None


def unsold(first: date, last: date) -> list[Unsold]:
    """Own use, gifts, what spoiled and what got lost, by day."""
    return sorted([*_pieces(first, last), *_materials(first, last)], key=lambda row: row.on)


def summed(first: date, last: date) -> list[Cells]:
    """All of it by kind and reason, how often and how much; within a kind the largest first.

    An amount is money off a price (discount, price cut, return: as the paper says it), or book cost of what went.
    """
    found: dict[tuple[str, str], list[Decimal]] = defaultdict(list)
    for each in (_discounts, _credits, _unsold, _lost, _deposits):
        for kind, reason, amount in each(first, last):
            found[(kind, reason)].append(amount)
    rows = sorted((kind, -sum(sums, ZERO), reason, len(sums)) for (kind, reason), sums in found.items())
    return [{"kind": kind, "reason": reason, "count": count, "amount": -less} for kind, less, reason, count in rows]


def _pieces(first: date, last: date) -> Iterator[Unsold]:
    """A piece has its book cost, with what came late."""
    for move in moves.standing().filter(why__in=NAMES, on__range=(first, last)).select_related("article"):
        if move.article is not None:
            number, kind = move.article.number, move.article.kind
            what = Link(number, "article", number, after=f" {kind}")
            yield Unsold(move.on, move.why, move.note, move.article.book_cost, what)


def _materials(first: date, last: date) -> Iterator[Unsold]:
    rows = Movement.objects.filter(
        kind__in=(Kind.OWN_USE, Kind.GIVEN, Kind.SPOILED),
        on__range=(first, last),
        posting__reverses__isnull=True,
        posting__reversed_by__isnull=True,
    )
    for row in rows.select_related("material", "posting").order_by("on", "posting", "pk"):
        amount, material = units.show(-row.quantity, row.material.unit), row.material
        what = Link(material.name, "material", material.code, before=f"{amount} ")
        yield Unsold(row.on, row.kind, row.posting.reason, -row.value, what, row.posting_id)


def _unsold(first: date, last: date) -> Iterator[Entry]:
    for row in _pieces(first, last):
        yield NAMES[row.why], row.reason, row.value
    # A posting of several materials happened once.
    for _, rows in groupby(_materials(first, last), key=lambda row: row.posting):
        parts = list(rows)
        yield NAMES[parts[0].why], parts[0].reason, sum((row.value for row in parts), ZERO)


def _discounts(first: date, last: date) -> Iterator[Entry]:
    """Off the list price, by where it was; what was credited later is a return instead."""
    rows = SaleLine.objects.filter(sale__on__range=(first, last), discount__gt=0).select_related(
        "sale__channel", "sale__fair"
    )
    for row in rows:
        where = row.sale.fair or row.sale.channel
        yield DISCOUNT, where.name if where else "", row.discount


def _credits(first: date, last: date) -> Iterator[Entry]:
    rows = Sale.objects.filter(kind=Sale.Kind.CREDIT, on__range=(first, last))
    for row in rows.prefetch_related(Prefetch("lines", queryset=SaleLine.objects.select_related("of_line"))):
        # A whole line is credited in its own words; money off a line has words that say so.
        whole = all(line.of_line is not None and line.words == line.of_line.words for line in row.lines.all())
        yield RETURN if whole else CUT, row.reason, -row.gross


def _lost(first: date, last: date) -> Iterator[Entry]:
    """Lost skins, but for those whose cost was reallocated to the others: nothing of it is gone."""
    skins = list(losses.lost(Skin.objects.filter(lost_on__range=(first, last))))
    shares = cost.skin_shares(skins, last)
    reallocated = {each.skin.pk for each in reallocation.standing(last)}
    for skin in (skin for skin in skins if skin.pk not in reallocated):
        yield SPOILED, skin.lost_reason, half_up(shares[skin.tag].book(), workshop.places())


def _deposits(first: date, last: date) -> Iterator[Entry]:
    taken = Payment.objects.filter(job__isnull=False, opening=False, on__range=(first, last))
    for row in taken.select_related("job"):
        yield DEPOSIT, row.job.work if row.job else "", row.amount
