"""How long pieces lay and how long hands were on them, and where hours were likely never written down."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import NamedTuple

from costing.make.cost import selectors as cost
from costing.make.cost.rules import Share
from costing.make.labour import rules as labour
from costing.report.valuation import selectors as valuation
from inventory.models import Article, ArticleSkin, Skin
from inventory.money import ZERO, half_up
from inventory.report import Cells
from inventory.units import MINUTES_PER_HOUR


class Hands(NamedTuple):
    """`waited` are pieces of the maker's and work on customers' skins; days run from the first of their skins coming in.
    `left_on` is None while it was still here on the last day looked at; `days` then run up to that day.

    `unlogged` are skins with fewer minutes than their kind ever took, or with none although something was used on them.
    """

    waited: list[Cells]
    unlogged: list[Cells]


def hands(first: date, last: date) -> Hands:
    """Pieces finished or gone in the time, and skins here or finished in it whose minutes look too few."""
    skins = list(Skin.objects.filter(date_in__lte=last).order_by("date_in", "pk"))
    shares = cost.skin_shares(skins, last)
    parts = list(
        ArticleSkin.objects.filter(article__finished_on__lte=last).select_related("article", "skin").order_by("pk")
    )
    return Hands(_waited(parts, shares, first, last), _unlogged(skins, parts, shares, first))


def _waited(parts: list[ArticleSkin], shares: dict[str, Share], first: date, last: date) -> list[Cells]:
    pieces = cost.piece_shares(parts, shares)
    came: dict[Article, date] = {}
    for part in parts:
        came[part.article] = min(part.skin.date_in, came.get(part.article, date.max))
    gone = {pk: day for pk, (_, day) in valuation.left(last).items()}
    lay = {
        article: gone.get(article.pk, last) - date_in
        for article, date_in in came.items()
        if article.finished_on >= first or gone.get(article.pk, first) >= first
    }
    return [
        {
            "piece": article.number,
            "what": article.kind,
            "date_in": came[article],
            "finished_on": article.finished_on,
            "left_on": gone.get(article.pk),
            "to_finish": (article.finished_on - came[article]).days,
            "days": time.days,
            "hours": half_up(pieces[article.pk].own_minutes / MINUTES_PER_HOUR, 2),
        }
        for article, time in sorted(lay.items(), key=lambda each: (-each[1], each[0].number))
    ]


def _unlogged(
    skins: Iterable[Skin], parts: Iterable[ArticleSkin], shares: dict[str, Share], first: date
) -> list[Cells]:
    made = {part.skin.tag: part for part in parts}
    kinds: dict[tuple[str, str], list[str]] = defaultdict(list)
    for tag, part in made.items():
        kinds[_kind(part)].append(tag)
    found: list[tuple[Skin, Decimal, Decimal | None]] = []
    for skin in skins:
        minutes, materials = shares[skin.tag].own_minutes, shares[skin.tag].materials
        own = made.get(skin.tag)
        if own is None:
            if materials and not minutes and skin.stage != Skin.Stage.LOST:
                found.append((skin, ZERO, None))
            continue
        usual = labour.usual([shares[tag].own_minutes for tag in kinds[_kind(own)] if tag != skin.tag])
        if own.article.finished_on >= first and labour.looks_unlogged(minutes, usual):
            found.append((skin, half_up(minutes, 1), half_up(usual.low, 1) if usual else None))
    return [
        {"tag": skin.tag, "species": skin.species, "minutes": minutes, "usual_low": least}
        for skin, minutes, least in found
    ]


def _kind(part: ArticleSkin) -> tuple[str, str]:
    return part.skin.species.casefold(), part.article.method
