"""How long pieces lay and how long hands were on them, and where hours were likely never written down."""

from collections import defaultdict
from collections.abc import Container
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

from django.db.models import F, OuterRef, QuerySet, Subquery, Window
from django.db.models.functions import RowNumber

from costing.make.cost import selectors as cost
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
    return Hands(_waited(first, last), _unlogged(first, last))


def _waited(first: date, last: date) -> list[Cells]:
    # Whatever had left before the time is not looked at, however much it is.
    here = Article.objects.filter(finished_on__lte=last).exclude(gone_on__lt=first)
    gone = {pk: day for pk, (_, day) in valuation.left(last, here.values_list("pk", flat=True)).items()}
    rows = ArticleSkin.objects.filter(article__in=here).select_related("article", "skin").order_by("pk")
    parts = [part for part in rows if part.article.finished_on >= first or gone.get(part.article_id, first) >= first]
    pieces = cost.piece_shares(parts, cost.skin_shares({part.skin for part in parts}, last))
    came: dict[Article, date] = {}
    for part in parts:
        came[part.article] = min(part.skin.date_in, came.get(part.article, date.max))
    lay = {article: gone.get(article.pk, last) - date_in for article, date_in in came.items()}
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


def _unlogged(first: date, last: date) -> list[Cells]:
    made = _made(last)
    raw = Skin.objects.filter(date_in__lte=last).exclude(stage=Skin.Stage.LOST).exclude(pk__in=made.values("skin"))
    finished = {
        part.skin: part for part in made.filter(article__finished_on__gte=first).select_related("article", "skin")
    }
    shares = cost.skin_shares([*raw, *finished], last)
    least = (
        _least(last, {_kind(part.skin.species, part.article.method) for part in finished.values()}) if finished else {}
    )
    found: list[tuple[Skin, Decimal, Decimal | None]] = [
        (skin, ZERO, None) for skin in raw if shares[skin.tag].materials and not shares[skin.tag].own_minutes
    ]
    for skin, part in finished.items():
        minutes, others = shares[skin.tag].own_minutes, least[_kind(skin.species, part.article.method)]
        low = next((minutes_of for tag, minutes_of in others if tag != skin.tag), None)
        if low is not None and labour.looks_unlogged(minutes, low):
            found.append((skin, half_up(minutes, 1), half_up(low, 1)))
    return [
        {"tag": skin.tag, "species": skin.species, "minutes": minutes, "usual_low": low}
        for skin, minutes, low in sorted(found, key=lambda each: (each[0].date_in, each[0].pk))
    ]


def _made(last: date) -> QuerySet[ArticleSkin]:
    """Of each skin the part of it that was made last: its way of being made is that of the skin."""
    parts = ArticleSkin.objects.filter(article__finished_on__lte=last)
    own = parts.filter(skin=OuterRef("skin")).order_by("-pk").values("pk")
    return parts.filter(pk=Subquery(own[:1]))


def _kind(species: str, method: str) -> tuple[str, str]:
    return species.casefold(), method


def _least(last: date, kinds: Container[tuple[str, str]]) -> dict[tuple[str, str], list[tuple[str, Fraction]]]:
    """By species and method: the two skins (tags) with the fewest minutes of all ever made, the one with fewer first."""
    rows = _made(last).filter(skin__cost__settled_on__lte=last)
    place = Window(RowNumber(), [F("skin__species"), F("article__method")], [F("skin__cost__own_minutes"), F("skin")])
    few = ArticleSkin.objects.filter(
        pk__in=[*rows.annotate(place=place).filter(place__lte=2).values_list("pk", flat=True)]
    )
    late = _made(last).exclude(skin__cost__settled_on__lte=last)
    parts = [
        part
        for part in [*few.select_related("article", "skin"), *late.select_related("article", "skin")]
        if _kind(part.skin.species, part.article.method) in kinds
    ]
    shares = cost.skin_shares([part.skin for part in parts], last)
    found: dict[tuple[str, str], list[tuple[str, Fraction]]] = defaultdict(list)
    for part in parts:
        found[_kind(part.skin.species, part.article.method)].append((part.skin.tag, shares[part.skin.tag].own_minutes))
    return {kind: sorted(rows, key=lambda row: row[1])[:2] for kind, rows in found.items()}
