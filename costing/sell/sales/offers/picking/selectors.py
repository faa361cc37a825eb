"""What there is to pick from for a sale: of each kind the last, since what is not sold heaps up; the others are found by words."""

from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.db.models import Case, Model, QuerySet, Value, When

from costing.sell.jobs.models import Job
from costing.sell.sales.offers import selectors as offers
from inventory.base.finding import matching
from inventory.models import Article, Skin

MOST = 25
M = TypeVar("M", bound=Model)


@dataclass(frozen=True)
class Offered(Generic[M]):
    """Things of a kind by their numbers, and whether there are `more` than these, the last."""

    rows: list[M]
    more: bool


def pieces(words: str = "", place: int | None = None) -> Offered[Article]:
    """Pieces that are here; those at a place (id) before all others."""
    rows = offers.here().select_related(None).prefetch_related(None).select_related("place")
    there = Case(When(place=place, then=Value(0)), default=Value(1))
    columns = ("number", "kind", "place__name", "parts__skin__tag", "parts__skin__species")
    return _last(rows, words, columns, *([there] if place else []), "-finished_on")


def jobs(words: str = "") -> Offered[Job]:
    """Work that is done and not billed yet."""
    return _last(offers.jobs(), words, ("number", "customer__name", "work", "skin__tag", "skin__species"), "-taken_on")


def spoiled(words: str = "") -> Offered[Skin]:
    """Lost skins that may be sold as they are."""
    return _last(offers.spoiled(), words, ("tag", "species"), "-lost_on")


def _last(rows: QuerySet[M], words: str, columns: tuple[str, ...], *order: Any) -> Offered[M]:
    if words:
        rows = rows.filter(pk__in=matching(rows.model._default_manager.all(), words, columns).values("pk"))
    found = list(rows.order_by(*order, "-pk")[: MOST + 1])
    return Offered(sorted(found[:MOST], key=lambda row: str(getattr(row, columns[0]))), len(found) > MOST)
