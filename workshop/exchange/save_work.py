"""Rows of losses, labour, articles and how they were judged anew; labour that was taken back is left out."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from fractions import Fraction

from costing.make.cost.reallocation import selectors as spread
from costing.models import ArticleCost, LabourLine
from inventory.models import Article, Regrade, Skin
from workshop.exchange import cells
from workshop.exchange.save_masters import Cells, FirstPlace, by


def losses() -> Iterator[Cells]:
    """A loss that nobody was left to bear is written off, whatever was wished for."""
    borne = {each.skin.pk for each in spread.standing()}
    for skin in by(Skin.objects.filter(stage=Skin.Stage.LOST), "lost_on", "tag"):
        yield {
            "date": cells.day(skin.lost_on),
            "tag": skin.tag,
            "reason": skin.lost_reason,
            "step": skin.lost_at_step,
            "spread": cells.yes_no(skin.pk in borne),
        }


def labour() -> Iterator[Cells]:
    lines = LabourLine.objects.filter(reverses__isnull=True, reversed_by__isnull=True)
    for line in lines.select_related("batch").prefetch_related("skins").order_by("on", "pk"):
        yield {
            "date": cells.day(line.on),
            "batch": line.batch.number if line.batch else "",
            "skins": " ".join(sorted(skin.tag for skin in line.skins.all())),
            "task": line.task,
            "minutes": cells.number(line.minutes),
            "who": line.who,
            "paid": cells.coins(line.paid),
            "laced": cells.yes_no(line.laced),
            "kind": line.kind,
        }


def articles(first_place: FirstPlace) -> Iterator[Cells]:
    """Pieces that were finished together stand together, in the order they were made, with the rates of their day."""
    costs = list(
        ArticleCost.objects.select_related("article__place")
        .prefetch_related("article__parts__skin", "article__regrades")
        .order_by("article__pk")
    )
    first = {cost.split: cost.article_id for cost in reversed(costs)}
    for cost in sorted(costs, key=lambda cost: (first[cost.split], cost.article_id)):
        article = cost.article
        parts = sorted(article.parts.all(), key=lambda part: part.pk)
        grade, area = _as_finished(article)
        yield {
            "date": cells.day(article.finished_on),
            "article": article.number,
            "kind": article.kind,
            "skins": " ".join(part.skin.tag for part in parts),
            "share": cells.share(Fraction(parts[0].share_of, parts[0].share_in)),
            "area": cells.measure(area, "dm2"),
            "unit": "dm2",
            "grade": grade,
            "method": article.method,
            "list_price": cells.coins(article.list_price),
            "place": first_place(article),
            "together": cost.split,
            "wage_per_hour": cells.coins(cost.wage_per_hour),
            "overhead_per_hour": cells.coins(cost.overhead_per_hour),
            "frame_wear": cells.coins(cost.frame_wear),
        }


def _as_finished(article: Article) -> tuple[str, Decimal | None]:
    """Grade and area before it was judged anew."""
    first = next(iter(article.regrades.all()), None)
    return (first.was_grade, first.was_area) if first else (article.grade, article.area)


def regrades() -> Iterator[Cells]:
    for row in Regrade.objects.select_related("article").order_by("on", "pk"):
        yield {
            "date": cells.day(row.on),
            "article": row.article.number,
            "grade": row.grade,
            "area": cells.measure(row.area, "dm2"),
            "unit": "dm2",
            "note": row.note,
        }
