"""The year-end stock sheet's lines from the books: each thing that was there at the end of a day, at cost, and where it was.

The values are those of `stock_value`, so that the sheet comes to the same total; a group that was rounded once is shared over
its lines to the coin.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Prefetch

from costing.report.valuation import selectors as valuation
from costing.report.valuation.selectors import StockValue
from costing.report.valuation.stock_sheet import rules as stock_sheet
from costing.report.valuation.stock_sheet.rules import Counted, Group, Sheet
from costing.sell.pricing import rules as pricing, selectors as pricing_read
from costing.sell.pricing.channels.models import Channel
from inventory import units
from inventory.base import selectors as workshop
from inventory.models import Article, ArticleSkin, Place, Skin
from inventory.money import ZERO, allocate
from inventory.places.moves import selectors as moves

NO_SKIN = "In batches, allocated to no skin yet"


def at(on: date) -> Sheet:
    """Everything at the end of `on`. Its total is `stock_value.at(on).total`."""
    value = valuation.at(on)
    here = {tag for part in value.skins.values() for tag in part}
    skins = {skin.tag: skin for skin in Skin.objects.filter(tag__in=here).select_related("place")}
    where = moves.where(on)
    return stock_sheet.sheet(
        [
            *_materials(value),
            *_skins(Group.RAW, value.skins["raw"], value.raw_skins, skins),
            *_skins(Group.IN_WORK, value.skins["in_work"], value.in_work - sum(value.works.values(), ZERO), skins),
            *_works(value, where),
            *_finished(value, where),
            *_customers(on, skins, where),
        ]
    )


def _materials(value: StockValue) -> list[Counted]:
    """The place is where a material is kept."""
    places = dict(Place.objects.values_list("pk", "name"))
    return [
        Counted(
            Group.CONSUMABLES,
            f"{held.material.code} {held.material.name}",
            units.from_base(held.quantity, held.material.unit),
            held.material.unit,
            held.value,
            place=places.get(held.material.place_id or 0, ""),
        )
        for held in value.materials
    ]


def _skins(group: Group, exact: Mapping[str, Fraction], total: Decimal, skins: Mapping[str, Skin]) -> list[Counted]:
    """Skins of a group share its rounded total. A customer's skin stands here only for the materials in it."""
    borne = {tag: cost for tag, cost in exact.items() if cost or not _theirs(skins.get(tag))}
    nothing = not any(borne.values())
    costs = [ZERO] * len(borne) if nothing else allocate(total, list(borne.values()), workshop.places())
    return [
        _one(group, _named(skins.get(tag)), cost, _place(skins.get(tag)))
        for tag, cost in zip(borne, costs, strict=True)
    ]


def _named(skin: Skin | None) -> str:
    if skin is None:
        return NO_SKIN
    words = f"{skin.tag} {', '.join(filter(None, (skin.species, skin.sex_age)))}"
    return f"Materials in {words}, a customer's" if skin.theirs else words


def _theirs(skin: Skin | None) -> bool:
    return skin is not None and skin.theirs


def _place(skin: Skin | None) -> Place | None:
    return skin.place if skin is not None else None


def _one(group: Group, what: str, cost: Decimal, place: Place | None) -> Counted:
    """A thing of which there is one."""
    return Counted(group, what, Decimal(1), "piece", cost, place=place.name if place else "")


def _works(value: StockValue, where: Mapping[int, Place]) -> list[Counted]:
    """Materials in finished work on customers' skins: in work until it is handed over."""
    return [
        _one(
            Group.IN_WORK,
            f"Materials in {article.number}, a customer's",
            value.works[article.pk],
            where.get(article.pk),
        )
        for article in Article.objects.filter(pk__in=value.works).order_by("number")
        if value.works[article.pk]
    ]


def _finished(value: StockValue, where: Mapping[int, Place]) -> list[Counted]:
    """Beside the cost what a list price would bring after the selling costs of the place's channel, or the usual one."""
    made = Prefetch("parts", queryset=ArticleSkin.objects.select_related("skin").order_by("skin__tag"))
    channels = {row.place_id: pricing_read.plain(row) for row in Channel.objects.filter(place__isnull=False)}
    usual, footing = pricing_read.channel(), pricing_read.footing(value.on)
    found = []
    for article in Article.objects.filter(pk__in=value.books).prefetch_related(made).order_by("number"):
        place = where.get(article.pk)
        channel = channels.get(place.pk, usual) if place else usual
        species = ", ".join(dict.fromkeys(part.skin.species for part in article.parts.all()))
        found.append(
            replace(
                _one(Group.FINISHED, f"{article.number} {article.kind}, {species}", value.books[article.pk], place),
                realisable=_realisable(article.list_price, channel, footing),
                with_others=place is not None and place.kind == Place.Kind.GALLERY,
            )
        )
    return found


def _realisable(price: Decimal | None, channel: pricing.Channel, footing: pricing.Footing) -> Decimal | None:
    if price is None:
        return None
    sold = pricing_read.meaning(price, channel, footed=footing)
    return stock_sheet.realisable(sold.net, to_sell=sold.fee + sold.own_cost, places=workshop.places())


def _customers(on: date, skins: Mapping[str, Skin], where: Mapping[int, Place]) -> list[Counted]:
    """Customers' skins and what was made of them, while they are here: listed, at nil."""
    found = [
        _one(Group.CUSTOMERS, f"{tag} {skin.species}, of {skin.customer or 'a customer'}", ZERO, skin.place)
        for tag, skin in skins.items()
        if skin.theirs
    ]
    return found + [
        _one(Group.CUSTOMERS, f"{article.number} {article.kind}", ZERO, where.get(article.pk))
        for article in moves.held_on(on).filter(customers=True).order_by("number")
    ]
