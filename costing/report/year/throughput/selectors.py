"""How long pieces lay and how long hands were on them, and where hours were likely never written down."""

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any, NamedTuple

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Window
from django.db.models.functions import RowNumber

from costing.make.cost import selectors as cost
from costing.make.cost.rules import Share
from costing.make.labour import rules as labour
from costing.report.valuation.away import selectors as away
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
    gone, parts = _here(first, last)
    raw = (
        Skin.objects.filter(date_in__lte=last).exclude(stage=Skin.Stage.LOST).exclude(pk__in=_made(last).values("skin"))
    )
    finished = [part for part in parts if part.article.finished_on >= first and part.made_last == part.pk]
    fewest = _fewest(last, {_kind(part) for part in finished}) if finished else []
    # Asked of all at once, because each asking is a dozen queries.
    skins = {*raw, *(part.skin for part in (*parts, *fewest))}
    shares = cost.skin_shares(sorted(skins, key=lambda skin: skin.pk), last)
    return Hands(_waited(parts, gone, shares, last), _unlogged(raw, finished, fewest, shares))


def _here(first: date, last: date) -> tuple[dict[int, date], list[Any]]:
    """Of pieces that had not left before the time: the day on which each left, by its id, and their parts of skins."""
    articles = Article.objects.filter(finished_on__lte=last).exclude(gone_on__lt=first)
    rows = _with_last(last).filter(article__in=articles).select_related("article", "skin").order_by("pk")
    gone = {pk: day for pk, (_, day) in away.left(last, {part.article_id for part in rows}).items()}
    came = [part for part in rows if part.article.finished_on >= first or gone.get(part.article_id, first) >= first]
    return gone, came


def _waited(
    parts: Sequence[ArticleSkin], gone: Mapping[int, date], shares: Mapping[str, Share], last: date
) -> list[Cells]:
    minutes: dict[int, Fraction] = defaultdict(Fraction)
    came: dict[Article, date] = {}
    for part in parts:
        came[part.article] = min(part.skin.date_in, came.get(part.article, date.max))
        minutes[part.article_id] += shares[part.skin.tag].own_minutes * Fraction(part.share_of, part.share_in)
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
            "hours": half_up(minutes[article.pk] / MINUTES_PER_HOUR, 2),
        }
        for article, time in sorted(lay.items(), key=lambda each: (-each[1], each[0].number))
    ]


def _unlogged(
    raw: Iterable[Skin], finished: Iterable[ArticleSkin], fewest: Iterable[ArticleSkin], shares: Mapping[str, Share]
) -> list[Cells]:
    least: dict[tuple[str, str], list[tuple[Fraction, str]]] = defaultdict(list)
    for part in fewest:
        least[_kind(part)].append((shares[part.skin.tag].own_minutes, part.skin.tag))
    found: list[tuple[Skin, Decimal, Decimal | None]] = [
        (skin, ZERO, None) for skin in raw if shares[skin.tag].materials and not shares[skin.tag].own_minutes
    ]
    for part in finished:
        skin, minutes = part.skin, shares[part.skin.tag].own_minutes
        low = min((each for each, tag in least[_kind(part)] if tag != skin.tag), default=None)
        if low is not None and labour.looks_unlogged(minutes, low):
            found.append((skin, half_up(minutes, 1), half_up(low, 1)))
    return [
        {"tag": skin.tag, "species": skin.species, "minutes": minutes, "usual_low": low}
        for skin, minutes, low in sorted(found, key=lambda each: (each[0].date_in, each[0].pk))
    ]


def _made(last: date) -> QuerySet[ArticleSkin]:
    """Of each skin the part of it that was made last: its way of being made is that of the skin."""
    return _with_last(last).filter(pk=F("made_last"))


def _with_last(last: date) -> QuerySet[ArticleSkin, Any]:
    """Parts of skins, each with the part of its skin that was made last, `made_last`."""
    parts = ArticleSkin.objects.filter(article__finished_on__lte=last)
    own = parts.filter(skin=OuterRef("skin")).order_by("-pk").values("pk")
    return parts.annotate(made_last=Subquery(own[:1]))


def _kind(part: ArticleSkin) -> tuple[str, str]:
    return part.skin.species.casefold(), part.article.method


def _fewest(last: date, kinds: Container[tuple[str, str]]) -> list[ArticleSkin]:
    """Of these kinds, by species and method: the two skins with the fewest minutes of all ever made, found by what is kept of them,
    and those of which nothing is kept that held by the day."""
    kept = _made(last).filter(skin__cost__settled_on__lte=last)
    place = Window(RowNumber(), [F("skin__species"), F("article__method")], [F("skin__cost__own_minutes"), F("skin")])
    fewest = kept.annotate(place=place).filter(place__lte=2).values("pk")
    rows = ArticleSkin.objects.filter(
        Q(pk__in=fewest) | Q(pk__in=_made(last).exclude(skin__cost__settled_on__lte=last))
    )
    return [part for part in rows.select_related("article", "skin") if _kind(part) in kinds]
