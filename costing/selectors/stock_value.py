"""What everything is worth at book cost on a day: consumables, raw skins, work begun, finished pieces.

Own hours are never in it. A customer's skin counts nothing; materials put into it count as work begun until it is handed over.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing import rollup
from costing.models import Batch, BatchSkin
from costing.rollup import Share
from costing.selectors import costs
from inventory import money
from inventory.models import ArticleSkin, Material, Skin
from inventory.selectors import ledger, workshop

NOTHING = Decimal(0)


@dataclass(frozen=True)
class Held:
    """A material's balance on the day, in its base unit and in money."""

    material: Material
    quantity: Decimal
    value: Decimal


@dataclass(frozen=True)
class StockValue:
    """`lost` is what lost skins had cost; it is no longer stock and stands here so that everything can be added up.

    `sharing` is what rounding each piece and each loss to the cent left over of the exact shares: under half a cent apiece.
    """

    on: date
    materials: tuple[Held, ...]
    raw_skins: Decimal
    in_work: Decimal
    finished: Decimal
    lost: Decimal
    sharing: Decimal

    @property
    def consumables(self) -> Decimal:
        return sum((held.value for held in self.materials), NOTHING)

    @property
    def total(self) -> Decimal:
        return self.consumables + self.raw_skins + self.in_work + self.finished


def at(on: date) -> StockValue:
    """The stock sheet of the end of `on`."""
    places = workshop.places()
    skins = list(Skin.objects.filter(date_in__lte=on).order_by("pk"))
    shares = costs.skin_shares(skins, on)
    parts = list(ArticleSkin.objects.filter(article__finished_on__lte=on).select_related("article__cost", "skin"))
    begun = _in_work(on)
    gone: dict[int, Fraction] = defaultdict(Fraction)
    for part in parts:
        gone[part.skin_id] += Fraction(part.share_of, part.share_in)
    exact = {"raw": Fraction(0), "in_work": _unshared(on)}
    lost, everything = NOTHING, exact["in_work"]
    for skin in skins:
        book = shares[skin.tag].book()
        everything += book
        if skin.lost_on and skin.lost_on <= on:
            lost += money.half_up(book, places)
            continue
        exact["in_work" if skin.pk in begun or gone[skin.pk] else "raw"] += book * (1 - gone[skin.pk])
    finished, on_customers = _finished(parts, shares, places)
    raw = money.half_up(exact["raw"], places)
    in_work = money.half_up(exact["in_work"], places) + on_customers
    sharing = money.half_up(everything, places) - raw - in_work - finished - lost
    return StockValue(on, materials(on), raw, in_work, finished, lost, sharing)


def materials(on: date) -> tuple[Held, ...]:
    """Materials with anything on the shelf that day, by name."""
    held = ledger.balances(on)
    rows = Material.objects.in_bulk([pk for pk, (quantity, _) in held.items() if quantity])
    found = [Held(row, *held[pk]) for pk, row in rows.items()]
    return tuple(sorted(found, key=lambda each: (each.material.name, each.material.code)))


def _finished(parts: list[ArticleSkin], shares: dict[str, Share], places: int) -> tuple[Decimal, Decimal]:
    """Book cost of own articles, and of work on customers' skins, each split of pieces rounded once."""
    pieces = costs.piece_shares(parts, shares)
    splits: dict[str, set[int]] = defaultdict(set)
    customers: set[str] = set()
    for part in parts:
        splits[part.article.cost.split].add(part.article_id)
        if part.article.customers:
            customers.add(part.article.cost.split)
    own = theirs = NOTHING
    for split, articles in splits.items():
        value = sum(rollup.split_books([pieces[pk] for pk in sorted(articles)], places), NOTHING)
        if split in customers:
            theirs += value
        else:
            own += value
    return own, theirs


def _in_work(on: date) -> set[int]:
    """Skins that were put into a batch by then in which something was written for a day up to then."""
    rows = BatchSkin.objects.filter(joined_on__lte=on)
    used = rows.filter(batch__uses__posting__on__lte=on).values_list("skin", flat=True)
    worked = rows.filter(batch__labour__on__lte=on).values_list("skin", flat=True)
    return {*used, *worked}


def _unshared(on: date) -> Fraction:
    """Materials in batches that no skin could bear yet."""
    found = costs.batch_shares(Batch.objects.all(), on)
    return sum((rest.book() for _, rest in found.values()), Fraction(0))
