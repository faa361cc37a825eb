"""Loading what happened to the skins: losses, labour, and the articles made of them."""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from itertools import groupby

from costing.make.cost.rates import services as rates
from costing.make.finishing import services as articles
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.make.recipes.models import TaskKind
from inventory import units
from inventory.articles import services as things
from inventory.articles.services import Piece
from inventory.models import Article, Skin
from workshop.exchange.desk import Desk
from workshop.exchange.parsing import Row

_RATES = ("wage_per_hour", "overhead_per_hour", "frame_wear")


# A folder from before kinds were chosen means by its words what they meant then.
_LACES = re.compile(r"\b(re-?)?lac(e|ed|ing)\b", re.IGNORECASE)
_SOFTENS = re.compile(r"\b(soften|break|stak(e|ing))", re.IGNORECASE)


def kind_by_words(words: str) -> TaskKind:
    if _LACES.search(words):
        return TaskKind.LACE
    return TaskKind.SOFTEN if _SOFTENS.search(words) else TaskKind.OTHER


def load_losses(desk: Desk) -> None:
    for row in desk.rows("losses.csv"):
        with desk.writing(row):
            (tag,) = desk.skins(row, [row["tag"]], column="tag")
            losses.lose(
                skin=Skin.objects.get(tag=tag),
                on=row["date"],
                reason=row["reason"],
                step=row["step"],
                spread=row["spread"],
            )


def load_labour(desk: Desk) -> None:
    for row in desk.rows("labour.csv"):
        with desk.writing(row):
            labour.log(
                on=row["date"],
                kind=row["kind"] or kind_by_words(row["task"]),
                task=row["task"],
                minutes=row["minutes"],
                batch=desk.batch(row),
                tags=desk.skins(row, row["skins"]),
                who=row["who"],
                paid=Decimal(row["paid"]),
                laced=row["laced"],
            )


def load_articles(desk: Desk) -> None:
    """Neighbouring rows with the same day and skins were finished together, at the rates named there, else those of the day."""
    for _, group in groupby(desk.rows("articles.csv"), key=_finishing):
        rows = list(group)
        pieces = [piece for row in rows if (piece := _piece(desk, row))]
        if len(pieces) < len(rows):
            continue
        first = rows[0]
        with desk.writing(*rows, count=len(rows)):
            articles.finish(
                on=first["date"],
                tags=desk.skins(first, first["skins"]),
                pieces=pieces,
                rates=rates.told(first["date"], **{name: first[name] for name in _RATES}),
            )


def load_regrades(desk: Desk) -> None:
    """After the articles as they were finished, and before any of them is sold."""
    pieces = {article.number: article for article in Article.objects.all()}
    for row in desk.rows("regrades.csv"):
        with desk.writing(row):
            things.regrade(
                article=desk.found(row, "article", pieces, "articles.csv", row["article"]),
                grade=row["grade"],
                area=_area(row),
                on=row["date"],
                note=row["note"],
            )


def _area(row: Row) -> Decimal | None:
    return None if row["area"] is None else units.to_base(row["area"], row["unit"], "cm2", name=row["article"])


def _finishing(row: Row) -> tuple[object, ...]:
    return (row["date"], row["skins"], row["together"], *(row[name] for name in _RATES))


def _piece(desk: Desk, row: Row) -> Piece | None:
    with desk.checking(row):
        return Piece(
            number=row["article"],
            kind=row["kind"],
            method=row["method"],
            area=_area(row),
            grade=row["grade"],
            list_price=row["list_price"],
            share=Fraction(1) if row["share"] is None else row["share"],
            place=desk.place(row),
        )
    return None
