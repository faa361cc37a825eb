"""Reads of skins upstairs: those that may join a batch, one with its stays and articles, its cost so far."""

from dataclasses import dataclass

from costing.make.cost import selectors as cost_read
from costing.make.cost.breakdown import selectors as breakdown
from costing.make.cost.breakdown import selectors as breakdown_read
from costing.make.cost.breakdown.selectors import Entry, Part
from costing.make.cost.rules import Share
from costing.sell.pricing import selectors as pricing
from costing.sell.pricing.selectors import Price
from inventory.models import Skin


@dataclass(frozen=True)
class SkinCost:
    """A skin's cost so far with every line that it bears something of."""

    price: Price
    parts: list[Part]
    entries: list[Entry]


def cost(skin: Skin) -> SkinCost:
    """Cost so far at the rates of today, with its parts and lines."""
    share: Share = cost_read.skin_shares([skin])[skin.tag]
    price = pricing.of_skin(skin, share, pricing.NO_CHANNEL)
    entries = breakdown.of_skins([skin])[skin.tag]
    return SkinCost(
        price, breakdown_read.of(share, price.rates, price.cost, breakdown_read.sources([skin], entries)), entries
    )
