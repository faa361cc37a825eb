"""How long pieces lay and how long hands were on them, and where hours were likely never written down."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from costing.make.cost import selectors as cost
from costing.make.cost.rules import Share
from costing.make.labour import rules as labour
from costing.report.year.throughput import rules as throughput
from inventory.models import OUT, Article, ArticleSkin, Skin
from inventory.money import half_up
from inventory.places.moves import selectors as moves
from inventory.units import MINUTES_PER_HOUR


@dataclass(frozen=True)
class Waited:
    """A piece of the maker's or work on a customer's skin. Days run from the first of its skins coming in.

    `left_on` is None while it was still here on the last day looked at; `days` then run up to that day.
    """

    piece: str
    what: str
    date_in: date
    finished_on: date
    left_on: date | None
    to_finish: int
    days: int
    hours: Decimal


@dataclass(frozen=True)
class Unlogged:
    """A skin with fewer minutes than its kind ever took, or with none although something was used on it."""

    tag: str
    species: str
    minutes: Decimal
    usual: labour.Usual | None


@dataclass(frozen=True)
class Hands:
    waited: list[Waited]
    unlogged: list[Unlogged]


def hands(first: date, last: date) -> Hands:
    """Pieces finished or gone in the time, and skins here or finished in it whose minutes look too few."""
    skins = list(Skin.objects.filter(date_in__lte=last).order_by("date_in", "pk"))
    shares = cost.skin_shares(skins, last)
    parts = list(
        ArticleSkin.objects.filter(article__finished_on__lte=last).select_related("article", "skin").order_by("pk")
    )
    return Hands(_waited(parts, shares, first, last), _unlogged(skins, parts, shares, first))


def _waited(parts: list[ArticleSkin], shares: dict[str, Share], first: date, last: date) -> list[Waited]:
    pieces = cost.piece_shares(parts, shares)
    came: dict[int, date] = {}
    articles: dict[int, Article] = {}
    for part in parts:
        articles[part.article_id] = part.article
        came[part.article_id] = min(part.skin.date_in, came.get(part.article_id, date.max))
    gone = _gone(last)
    found = [
        _of_piece(article, came[pk], pieces[pk].own_minutes, gone.get(pk), last)
        for pk, article in articles.items()
        if article.finished_on >= first or gone.get(pk, first) >= first
    ]
    return sorted(found, key=lambda row: (-row.days, row.piece))


def _gone(last: date) -> dict[int, date]:
    """By article: when it had left for good by then, whatever came back later."""
    found: dict[int, date] = {}
    for pk, why, on in moves.standing().filter(article__isnull=False, on__lte=last).values_list("article", "why", "on"):
        if why in OUT:
            found[pk] = on
        else:
            found.pop(pk, None)
    return found


def _of_piece(article: Article, came: date, minutes: Fraction, left: date | None, last: date) -> Waited:
    return Waited(
        piece=article.number,
        what=article.kind,
        date_in=came,
        finished_on=article.finished_on,
        left_on=left,
        to_finish=(article.finished_on - came).days,
        days=((left or last) - came).days,
        hours=half_up(minutes / MINUTES_PER_HOUR, 2),
    )


def _unlogged(
    skins: Iterable[Skin], parts: Iterable[ArticleSkin], shares: dict[str, Share], first: date
) -> list[Unlogged]:
    made: dict[str, tuple[str, str]] = {}
    finished: dict[str, date] = {}
    for part in parts:
        made[part.skin.tag] = (part.skin.species.casefold(), part.article.method)
        finished[part.skin.tag] = part.article.finished_on
    kinds: dict[tuple[str, str], list[str]] = defaultdict(list)
    for tag, kind in made.items():
        kinds[kind].append(tag)
    found = []
    for skin in skins:
        minutes, materials = shares[skin.tag].own_minutes, shares[skin.tag].materials
        if skin.tag not in made:
            if materials and not minutes and skin.stage != Skin.Stage.LOST:
                found.append(Unlogged(skin.tag, skin.species, Decimal(0), None))
            continue
        others = [shares[tag].own_minutes for tag in kinds[made[skin.tag]] if tag != skin.tag]
        usual = labour.usual(others)
        if finished[skin.tag] >= first and throughput.looks_unlogged(minutes, usual):
            found.append(Unlogged(skin.tag, skin.species, half_up(minutes, 1), usual))
    return found
