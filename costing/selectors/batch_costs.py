"""What batches have cost so far: the price of their skins and every line written on them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from costing import rollup
from costing.models import Batch, BatchSkin
from costing.rollup import RoundedCost, Share
from costing.selectors import costs, rates
from inventory.selectors import workshop


@dataclass(frozen=True)
class BatchCost:
    """`share` is all of it, exactly, skins' price included; `unshared` is the part that no skin can bear yet."""

    share: Share
    unshared: Share
    cost: RoundedCost
    rates: rollup.Rates


def of_batch(batch: Batch) -> BatchCost:
    shares, unshared = costs.batch_shares([batch])[batch.pk]
    prices = BatchSkin.objects.filter(batch=batch).values_list("skin__price", flat=True)
    bought = Share(skin_price=Fraction(sum(prices, Decimal(0))))
    whole = sum(shares.values(), bought + unshared)
    rate = rates.plain()
    return BatchCost(whole, unshared, rollup.rounded(whole, rate, workshop.places()), rate)


def books(batches: Iterable[Batch]) -> dict[int, Decimal]:
    """By batch id: book cost so far. Two reads of lines and one of prices, however many batches."""
    wanted = list(batches)
    totals: dict[int, Decimal] = defaultdict(Decimal)
    for batch, price in BatchSkin.objects.filter(batch__in=wanted).values_list("batch", "skin__price"):
        totals[batch] += price
    for batch, lines in costs.batch_lines(wanted).items():
        totals[batch] += sum((line.money for line in lines), Decimal(0))
    return totals
