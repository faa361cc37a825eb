"""Reads of skins upstairs: those that may join a batch, one with its stays and articles, its cost so far."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from costing.models import BatchSkin
from costing.rollup import Share
from costing.selectors import costs, lines, parts, prices
from costing.selectors.lines import Entry
from costing.selectors.parts import Part
from costing.selectors.prices import Price
from inventory.models import ArticleSkin, Skin


@dataclass(frozen=True)
class SkinCost:
    """A skin's cost so far with every line that it bears something of."""

    price: Price
    parts: list[Part]
    entries: list[Entry]


def unfinished() -> QuerySet[Skin]:
    """Raw or in work, in a batch or not."""
    return Skin.objects.filter(stage__in=[Skin.Stage.RAW, Skin.Stage.IN_WORK]).order_by("tag")


def free() -> QuerySet[Skin]:
    """Unfinished and in no batch now."""
    here = BatchSkin.objects.filter(skin=OuterRef("pk"), left_on__isnull=True)
    return unfinished().filter(~Exists(here))


def detailed() -> QuerySet[Skin]:
    stays = BatchSkin.objects.select_related("batch__version__recipe").order_by("joined_on", "pk")
    made = ArticleSkin.objects.select_related("article").order_by("article__number")
    return Skin.objects.select_related("supplier", "place", "job").prefetch_related(
        Prefetch("stays", queryset=stays), Prefetch("parts", queryset=made)
    )


def cost(skin: Skin) -> SkinCost:
    """Cost so far at the rates of today, with its parts and lines."""
    share: Share = costs.skin_shares([skin])[skin.tag]
    price = prices.of_skin(skin, share, prices.NO_CHANNEL)
    entries = lines.of_skins([skin])[skin.tag]
    return SkinCost(price, parts.of(share, price.rates, price.cost, parts.sources([skin], entries)), entries)
