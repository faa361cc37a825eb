"""What left without a sale in a time: own use, gifts, what spoiled or got lost; pieces and materials, line by line at book cost.

Tax offices ask for own use apart. Skins that were lost are told by `costing.selectors.losses`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory import units
from inventory.models import Article, Kind, Material, Move, Movement
from inventory.selectors import moves

NOTHING = Decimal(0)
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
        return sum((row.value for row in self.rows), NOTHING)


def between(first: date, last: date) -> list[Group]:
    """Own use, gifts, what spoiled and what got lost, each by day; all four also when there was none."""
    rows = sorted([*_pieces(first, last), *_goods(first, last)], key=lambda row: row.on)
    return [Group(words, tuple(_of(rows, kind))) for kind, words in WORDS.items()]


def _of(rows: Iterable[Row], kind: str) -> Iterator[Row]:
    return (row for row in rows if row.kind == kind)


def _pieces(first: date, last: date) -> Iterator[Row]:
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
