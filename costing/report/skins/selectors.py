"""Reads of a skin: its cost so far, how softening it stands against the usual, what an hour earns, and when it will be ready.

Gathers minutes, prices and weighings; the arithmetic is in the rules of labour, pricing and readings.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from functools import partial
from statistics import median

from django.db.models import F, Q
from django.utils import timezone

from costing.make.cost import selectors as cost
from costing.make.cost.breakdown import selectors as breakdown
from costing.make.cost.rates import selectors as rates
from costing.make.cost.rules import Share
from costing.make.labour import rules as labour
from costing.make.labour.models import LabourLine
from costing.make.losses import selectors as losses
from costing.make.readings import selectors as readings_read
from costing.make.readings.drying import rules as drying, spans
from costing.make.readings.models import Reading
from costing.make.recipes.models import TaskKind
from costing.sell.pricing import selectors as pricing_read
from inventory import units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, ArticleSkin, Skin
from inventory.money import half_up

SESSION_MINUTES = 20


@dataclass(frozen=True)
class SkinCost:
    """A skin's cost so far with every line that it bears something of."""

    price: pricing_read.Price
    parts: list[breakdown.Part]
    entries: list[tuple[breakdown.Entry, Decimal]]


def cost_of(skin: Skin) -> SkinCost:
    """Cost so far at the rates of today, with its parts and lines."""
    share = cost.skin_shares([skin])[skin.tag]
    price = pricing_read.of_skin(skin, share, pricing_read.NO_CHANNEL)
    entries = breakdown.of_skins([skin])[skin.tag]
    parts = breakdown.of(share, price.rates, price.cost, breakdown.sources([skin], entries))
    return SkinCost(price, parts, breakdown.told(entries, share, price.cost))


@dataclass(frozen=True)
class Softening:
    """Own minutes of a skin, exact. None where nothing is known; `missing` says in words what to enter.

    `usual` and `usual_soft` are of finished skins of the species: all own minutes, and those at softening. `price` is a
    price as it is typed, `price_source` where it comes from; `price_left` what a sale on `channel` leaves of it without tax.
    """

    minutes_so_far: Fraction
    soft_so_far: Fraction
    usual: labour.Usual | None
    usual_soft: labour.Usual | None
    book: Decimal
    price: Decimal | None
    price_source: str
    channel: str
    price_left: Fraction | None
    earned: labour.Earned | None
    pays_until: int | None
    missing: tuple[str, ...]

    @property
    def no_longer_pays(self) -> bool | None:
        return None if self.pays_until is None else self.minutes_so_far > self.pays_until


def of_skin(skin: Skin, price: Decimal | None = None, share: Share | None = None) -> Softening:
    """How softening this skin stands at a price, or at the price that is usual for its kind. `share`: its cost, if at hand.

    The number of queries does not grow with skins or lines.
    """
    share = share or cost.skin_shares([skin])[skin.tag]
    peers = _finished(skin)
    minutes = _minutes([skin, *peers])
    places, book = workshop.places(), half_up(share.book(), workshop.places())
    asked, source = (price, "entered") if price is not None else _price(skin, peers, places)
    where, left = _left(asked)
    wage = rates.current().wage_per_hour
    earned = None if left is None else labour.earned(left, book, share.own_minutes, SESSION_MINUTES, places)
    return Softening(
        minutes_so_far=share.own_minutes,
        soft_so_far=minutes[skin.tag][1],
        usual=labour.usual([minutes[peer.tag][0] for peer in peers if minutes[peer.tag][0]]),
        usual_soft=labour.usual([minutes[peer.tag][1] for peer in peers if minutes[peer.tag][1]]),
        book=book,
        price=asked,
        price_source=source,
        channel=where,
        price_left=left,
        earned=earned,
        pays_until=labour.pays_until(left, book, wage) if left is not None and wage > 0 else None,
        missing=tuple(_missing(skin, peers, asked, wage)),
    )


@dataclass(frozen=True)
class Drying:
    """A skin's weighings since it was last laced, the oldest first, and the course they tell; the range while they tell no
    course yet; or why they tell neither. `rows` are the entries of the weighings."""

    skin: Skin
    rows: tuple[Reading, ...] = ()
    course: drying.Course | None = None
    estimate: drying.Estimate | None = None
    missing: str = ""

    @property
    def window(self) -> drying.Window | None:
        """When the skin will be ready."""
        return self.course.window if self.course else None


def dryings(skins: Sequence[Skin]) -> list[Drying]:
    """How each of the skins dries, in the order given. The number of queries does not grow with them."""
    last_laced, found = _laced(skins), defaultdict(list)
    for row in readings_read.weighings_of(skins):
        at = timezone.localtime(row.at)
        last = last_laced.get(row.skin_id or 0)
        if row.weight is not None and (last is None or at.date() >= last):
            found[row.skin_id].append(row)
    return [_drying(skin, found[skin.pk]) for skin in skins]


@dataclass(frozen=True)
class Ahead:
    """How far off softening and dryness are from now, in words."""

    soft: str
    dry: str


def ahead(row: Drying) -> Ahead | None:
    """Of a skin whose weighings tell it, by the workshop's clock."""
    now = workshop.now()
    if (window := row.window) is not None:
        begins, ends = (window.begins, window.begins), (window.ends, window.ends)
    elif row.estimate is not None:
        begins, ends = row.estimate.begins, row.estimate.ends
    else:
        return None
    soft, dry = (spans.from_now(soonest - now, latest - now) for soonest, latest in (begins, ends))
    return Ahead(soft, dry)


def _laced(skins: Sequence[Skin]) -> dict[int, date]:
    """By skin id: the last day on which work that laced it was logged, by name or on its whole batch."""
    stands = LabourLine.objects.filter(laced=True, reverses__isnull=True, reversed_by__isnull=True).order_by()
    by_name = stands.filter(skins__in=skins).values_list("skins", "on")
    there = Q(batch__stays__left_on__isnull=True) | Q(batch__stays__left_on__gte=F("on"))
    with_all = Q(skins__isnull=True, batch__stays__skin__in=skins, batch__stays__joined_on__lte=F("on")) & there
    found: dict[int, date] = {}
    for pk, on in by_name.union(stands.filter(with_all).values_list("batch__stays__skin", "on")):
        found[pk] = max(on, found.get(pk, on))
    return found


def _drying(skin: Skin, rows: Sequence[Reading]) -> Drying:
    weighed = [drying.Reading(timezone.localtime(row.at), row.weight) for row in rows if row.weight is not None]
    found = Drying(skin, tuple(rows))
    said = drying.in_grams if skin.weight_unit in ("g", "kg") else partial(units.show, unit=skin.weight_unit, base="g")
    try:
        return replace(found, course=drying.course(weighed, skin.dry_weight, said))
    except Refused as refusal:
        found = replace(found, missing=str(refusal))
    try:
        return replace(found, estimate=drying.estimate(weighed, skin.dry_weight, said))
    except Refused as refusal:
        return replace(found, missing=str(refusal)) if len(rows) < drying.LEAST_READINGS else found


def _finished(skin: Skin) -> list[Skin]:
    """The last finished skins of its species, itself left out, however the word is spelled."""
    return losses.last_finished(Skin.objects.filter(species__iexact=skin.species).exclude(pk=skin.pk))


def _minutes(skins: Sequence[Skin]) -> dict[str, tuple[Fraction, Fraction]]:
    """By tag: own minutes at everything, and at softening."""
    found: dict[str, tuple[Fraction, Fraction]] = defaultdict(lambda: (Fraction(0), Fraction(0)))
    for tag, entries in breakdown.of_skins(skins).items():
        # Hours borne of a skin that was lost beside it say nothing of how long a skin takes.
        took = [entry for entry in entries if entry.kind != "skin_price"]
        own = [
            (each.share.own_minutes, each.labour is not None and each.labour.kind == TaskKind.SOFTEN) for each in took
        ]
        found[tag] = (
            sum((part for part, _ in own), Fraction(0)),
            sum((part for part, soft in own if soft), Fraction(0)),
        )
    return found


def _price(skin: Skin, peers: Iterable[Skin], places: int) -> tuple[Decimal | None, str]:
    """The list price of its own pieces, else the middle one of its finished kind; a customer's skin has none."""
    if skin.theirs:
        return None, ""
    own = [peer for peer in peers if not peer.theirs]
    fetched = _listed([skin, *own])
    if skin.pk in fetched:
        return half_up(fetched[skin.pk], places), "its own list price"
    values = [fetched[peer.pk] for peer in own if peer.pk in fetched]
    if not values:
        return None, ""
    of_how_many = f"the {len(values)} finished" if len(values) > 1 else "the one finished"
    return half_up(median(values), places), f"middle list price of {of_how_many}"


def _listed(skins: Sequence[Skin]) -> dict[int, Fraction]:
    """By skin id: the list prices of all that was made of it. A piece of several skins is divided by their shares in it."""
    articles = Article.objects.filter(parts__skin__in=skins)
    parts = list(ArticleSkin.objects.filter(article__in=articles).select_related("article"))
    whole: dict[int, Fraction] = defaultdict(Fraction)
    for part in parts:
        whole[part.article_id] += Fraction(part.share_of, part.share_in)
    values: dict[int, Fraction] = defaultdict(Fraction)
    unpriced = set()
    for part in parts:
        if part.article.list_price is None:
            unpriced.add(part.skin_id)
            continue
        own = Fraction(part.share_of, part.share_in) / whole[part.article_id]
        values[part.skin_id] += Fraction(part.article.list_price) * own
    return {pk: value for pk, value in values.items() if pk not in unpriced}


def _left(asked: Decimal | None) -> tuple[str, Fraction | None]:
    """The usual channel, and what it leaves of a price without tax."""
    where = pricing_read.channel()
    if asked is None:
        return where.name, None
    return where.name, Fraction(pricing_read.meaning(asked, where).left)


def _missing(skin: Skin, peers: Sequence[Skin], asked: Decimal | None, wage: Decimal) -> Iterable[str]:
    if not peers:
        yield f"No {skin.species.lower()} skin is finished yet, so what is usual for it is not known."
    if asked is None and skin.theirs:
        yield "Enter the price agreed for the work to see what an hour earns."
    elif asked is None:
        yield "Enter the price you would ask to see what an hour earns; no finished piece of its kind has one."
    if not wage:
        yield "Set the wage for an hour in Setup to see up to which hour the piece pays."
