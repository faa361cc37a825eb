"""Labour, the articles made of the skins, and how they were graded again."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import fields
from decimal import Decimal
from fractions import Fraction
from itertools import groupby
from typing import Any

from django.db import transaction
from django.db.models import Prefetch

from costing.make.cost.rates import services as rates
from costing.make.finishing import services as finishing
from costing.make.frames.lacings import selectors as lacings_read, services as lacings
from costing.make.frames.making import services as making
from costing.make.labour import services as labour
from costing.make.recipes.models import TaskKind
from costing.models import ArticleCost, LabourLine, Lacing
from inventory import units
from inventory.articles import services as articles
from inventory.articles.services import Naming, Piece
from inventory.errors import Refused
from inventory.models import Article, Regrade
from workshop.transfer.files.masters import FirstPlace
from workshop.transfer.format import readers
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession, Leaning

_RATES = ("wage_per_hour", "overhead_per_hour", "frame_wear")
_OF_ALL = ("date", "skins", "together", *_RATES)  # what pieces that were finished together share

# A folder from before kinds were chosen means by its words what they meant then.
_LACES = re.compile(r"\b(re-?)?lac(e|ed|ing)\b", re.IGNORECASE)
_SOFTENS = re.compile(r"\b(soften|break|stak(e|ing))", re.IGNORECASE)


def kind_known(said: dict[str, Any]) -> dict[str, Any]:
    """What a row says of work or of a step, its kind among it."""
    words = said["task"] or said.get("name", "")
    by_words = TaskKind.LACE if _LACES.search(words) else TaskKind.SOFTEN if _SOFTENS.search(words) else TaskKind.OTHER
    return {**said, "kind": said["kind"] or by_words}


def load_labour(session: ImportSession) -> None:
    rows = session.rows("labour.csv")
    if not _worked_together(session, rows):
        for row in rows:
            with session.writing(row):
                line = labour.log(**kind_known(session.arguments(row)))
                _name_frames(session, row, line)


def _worked_together(session: ImportSession, rows: Sequence[CsvRow]) -> bool:
    """Whether all could be written at once; where one is refused none is, and each is to be asked by itself."""
    try:
        with transaction.atomic():
            told = [labour.Told(**kind_known(session.arguments(row))) for row in rows]
            for row, line in zip(rows, labour.log_told(told=told), strict=True):
                _name_frames(session, row, line)
    except (Refused, Leaning):
        return False
    for row in rows:
        session.written[row.file.noun] += 1
    return True


def _name_frames(session: ImportSession, row: CsvRow, line: LabourLine) -> None:
    if not row["frames"]:
        return
    for each in row["frames"]:
        session.find("frames.csv", each.frame, "frames")
    lacings.name(line=line, on_frames={each.tag: each.frame for each in row["frames"]})
    off = {each.tag: each.off for each in row["frames"]}
    for lacing in line.lacings.select_related("skin"):
        if (day := off[lacing.skin.tag]) is not None:
            lacings.take_off(lacing=lacing, on=day)


def saved_labour() -> Iterator[Cells]:
    lines = LabourLine.objects.filter(reverses__isnull=True, reversed_by__isnull=True).select_related("batch")
    named = Prefetch("lacings", queryset=Lacing.objects.select_related("skin", "frame").order_by("skin__tag"))
    for row in sorted(lines.prefetch_related("skins", named), key=lambda row: (row.on, row.pk)):
        on_frames = [
            readers.LacedTo(each.skin.tag, each.frame.number, lacings_read.ended(each)) for each in row.lacings.all()
        ]
        yield FILES["labour.csv"].cells(row, frames=on_frames)


def load_broken(session: ImportSession) -> None:
    """After the pieces: a frame breaks when no skin is on it any more."""
    for row in session.rows("frames.csv"):
        if row["broken_on"]:
            with session.checking(row):
                frame = session.find("frames.csv", row.name, "frame")
                making.write_off(frame=frame, on=row["broken_on"], why=row["broken_why"])


def saved_articles(first_place: FirstPlace) -> Iterator[Cells]:
    """Pieces that were finished together follow each other, in the order they were made, with the rates of their day."""
    costs = list(
        ArticleCost.objects.select_related("article__place")
        .prefetch_related("article__parts__skin", "article__regrades")
        .order_by("article__pk")
    )
    first = {cost.split: cost.article_id for cost in reversed(costs)}
    for cost in sorted(costs, key=lambda cost: (first[cost.split], cost.article_id)):
        parts = sorted(cost.article.parts.all(), key=lambda part: part.pk)
        grade, area = _as_finished(cost.article)
        yield FILES["articles.csv"].cells(
            cost,
            skins=[part.skin.tag for part in parts],
            share=Fraction(parts[0].share_of, parts[0].share_in),
            area=area,
            unit="dm2",
            grade=grade,
            place=first_place(cost.article),
        )


def _as_finished(article: Article) -> tuple[str, Decimal | None]:
    """Grade and area before it was graded again."""
    first = next(iter(article.regrades.all()), None)
    return (first.was_grade, first.was_area) if first else (article.grade, article.area)


def saved_regrades() -> Iterator[Cells]:
    for row in Regrade.objects.select_related("article").order_by("on", "pk"):
        yield FILES["regrades.csv"].cells(row, unit="dm2")


def load_articles(session: ImportSession) -> None:
    """Neighbouring rows with the same day and skins were finished together, at the rates named there, else those of the day."""
    for _, group in groupby(session.rows("articles.csv"), key=lambda row: tuple(row[name] for name in _OF_ALL)):
        rows = list(group)
        pieces = session.checked(rows, _piece)
        if pieces is None:
            continue
        first = rows[0]
        with session.writing(*rows, count=len(rows)):
            finishing.finish(
                on=first["date"],
                tags=session.named(first, "skins"),
                pieces=pieces,
                rates=rates.told(first["date"], **{name: first[name] for name in _RATES}),
            )


def load_regrades(session: ImportSession) -> None:
    """After the articles as they were finished, and before any of them is sold."""
    session.known["articles.csv"] = {article.number: article for article in Article.objects.all()}
    for row in session.rows("regrades.csv"):
        with session.writing(row):
            articles.regrade(**session.arguments(row), area=_area(row))


def _area(row: CsvRow) -> Decimal | None:
    return None if row["area"] is None else units.to_base(row["area"], row["unit"], "cm2", name=row["article"])


def _piece(session: ImportSession, row: CsvRow) -> Piece:
    said = session.arguments(row, "date")
    naming = Naming(**{field.name: said.pop(field.name) for field in fields(Naming)})
    return Piece(**said, area=_area(row), naming=naming)
