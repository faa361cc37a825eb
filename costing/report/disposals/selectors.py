"""What was let go for less or for nothing, and what came back: discounts, price cuts, returns, gifts, own use, losses.

Summed by kind and by the reason that was written. Deposits taken stand with them, because they too are promises kept in mind.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from costing.make.cost import selectors as cost
from costing.make.cost.reallocation import selectors as reallocation
from costing.make.losses import selectors as losses
from costing.sell.payments.models import Payment
from costing.sell.sales.models import Sale, SaleLine
from inventory import units
from inventory.base import selectors as workshop
from inventory.models import Article, Kind, Material, Move, Movement, Posting, Skin
from inventory.money import ZERO, half_up
from inventory.places.moves import selectors as moves

DISCOUNT, CUT, RETURN, GIVEN, OWN_USE, SPOILED, DEPOSIT = (
    "discount", "price cut", "return", "given away", "own use", "spoiled", "deposit taken",
)  # fmt: skip

BY_HAND = {Move.Why.GIVEN: GIVEN, Move.Why.OWN_USE: OWN_USE, Move.Why.SPOILED: SPOILED, Move.Why.MISSING: SPOILED}
FROM_SHELF = {Kind.GIVEN: GIVEN, Kind.OWN_USE: OWN_USE, Kind.SPOILED: SPOILED}
Entry = tuple[str, str, Decimal]


@dataclass(frozen=True)
class Given:
    """`amount` is money off a price (discount, price cut, return: as the paper says it), or book cost of what went."""

    kind: str
    reason: str
    count: int
    amount: Decimal


def given(first: date, last: date) -> list[Given]:
    """By kind, and within it the largest first."""
    found: dict[tuple[str, str], list[Decimal]] = defaultdict(list)
    for each in (_discounts, _credits, _pieces, _shelf, _lost, _deposits):
        for kind, reason, amount in each(first, last):
            found[(kind, reason)].append(amount)
    rows = [Given(kind, reason, len(sums), sum(sums, ZERO)) for (kind, reason), sums in found.items()]
    return sorted(rows, key=lambda row: (row.kind, -row.amount, row.reason))


def _discounts(first: date, last: date) -> Iterator[Entry]:
    """Off the asked price, by where it was; what was credited later is a return instead."""
    rows = SaleLine.objects.filter(sale__on__range=(first, last), discount__gt=0).select_related(
        "sale__channel", "sale__fair"
    )
    for row in rows:
        where = row.sale.fair.name if row.sale.fair else row.sale.channel.name if row.sale.channel else ""
        yield DISCOUNT, where, row.discount


def _credits(first: date, last: date) -> Iterator[Entry]:
    rows = Sale.objects.filter(kind=Sale.Kind.CREDIT, on__range=(first, last))
    for row in rows.prefetch_related("lines__of_line"):
        # A whole line is credited in its own words; money off a line has words that say so.
        whole = all(line.of_line is not None and line.words == line.of_line.words for line in row.lines.all())
        yield RETURN if whole else CUT, row.reason, -row.gross


def _pieces(first: date, last: date) -> Iterator[Entry]:
    rows = moves.standing().filter(on__range=(first, last), why__in=BY_HAND).select_related("article")
    for row in rows:
        if row.article is not None:
            yield BY_HAND[Move.Why(row.why)], row.note, row.article.book_cost


def _shelf(first: date, last: date) -> Iterator[Entry]:
    rows = Posting.objects.filter(
        kind__in=FROM_SHELF, on__range=(first, last), reverses__isnull=True, reversed_by__isnull=True
    )
    for row in rows.prefetch_related("movements"):
        yield FROM_SHELF[Kind(row.kind)], row.reason, -sum((each.value for each in row.movements.all()), ZERO)


def _lost(first: date, last: date) -> Iterator[Entry]:
    skins = list(losses.lost(Skin.objects.filter(lost_on__range=(first, last))))
    shares = cost.skin_shares(skins, last)
    borne = {each.skin.pk for each in reallocation.standing(last)}
    for skin in (skin for skin in skins if skin.pk not in borne):
        yield SPOILED, skin.lost_reason, half_up(shares[skin.tag].book(), workshop.places())


def _deposits(first: date, last: date) -> Iterator[Entry]:
    for row in Payment.objects.filter(job__isnull=False, on__range=(first, last)).select_related("job"):
        yield DEPOSIT, row.job.work if row.job else "", row.amount


WORDS = {"own_use": "Own use", "given": "Given away", "spoiled": "Spoiled", "missing": "Lost or stolen"}
PIECES = (Move.Why.OWN_USE, Move.Why.GIVEN, Move.Why.SPOILED, Move.Why.MISSING)
GOODS = (Kind.OWN_USE, Kind.GIVEN, Kind.SPOILED)


@dataclass(frozen=True)
class Row:
    """One thing that went. Either the piece or the material with its amount in words and its posting (id)."""

    on: date
    kind: str
    article: Article | None
    material: Material | None
    amount: str
    posting: int | None
    reason: str
    value: Decimal


@dataclass(frozen=True)
class Group:
    """All of one kind in the time, and what it cost in all."""

    words: str
    rows: tuple[Row, ...]

    @property
    def value(self) -> Decimal:
        return sum((row.value for row in self.rows), ZERO)


def between(first: date, last: date) -> list[Group]:
    """Own use, gifts, what spoiled and what got lost, each by day; all four also when there was none."""
    rows = sorted([*_pieces_given(first, last), *_goods(first, last)], key=lambda row: row.on)
    return [Group(words, tuple(_of(rows, kind))) for kind, words in WORDS.items()]


def _of(rows: Iterable[Row], kind: str) -> Iterator[Row]:
    return (row for row in rows if row.kind == kind)


def _pieces_given(first: date, last: date) -> Iterator[Row]:
    """A piece is worth its book cost, with what came late."""
    for move in moves.standing().filter(why__in=PIECES, on__range=(first, last)).select_related("article"):
        if move.article is not None:
            yield Row(move.on, move.why, move.article, None, "", None, move.note, move.article.book_cost)


def _goods(first: date, last: date) -> Iterator[Row]:
    rows = Movement.objects.filter(
        kind__in=GOODS, on__range=(first, last), posting__reverses__isnull=True, posting__reversed_by__isnull=True
    )
    for row in rows.select_related("material", "posting").order_by("on", "pk"):
        amount = units.show(-row.quantity, row.material.unit)
        yield Row(row.on, row.kind, None, row.material, amount, row.posting_id, row.posting.reason, -row.value)
