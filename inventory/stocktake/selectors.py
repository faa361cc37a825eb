"""What is to be counted and where it is kept, without a figure of the books: who counts must not be led by them."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeVar

from django.db.models import QuerySet

from inventory.articles.models import Article
from inventory.ledger.models import Kind, Posting
from inventory.materials.models import Material
from inventory.places.models import Place
from inventory.skins.models import Skin

T = TypeVar("T")


@dataclass(frozen=True)
class Thing:
    """A material in its unit; or a skin or a piece, which is there or not."""

    row: Material | Skin | Article

    @property
    def code(self) -> str:
        return self.row.code if isinstance(self.row, Material) else str(self.row)

    @property
    def unit(self) -> str:
        return self.row.unit if isinstance(self.row, Material) else ""


def materials() -> QuerySet[Material]:
    """Every material, place by place."""
    return Material.objects.select_related("place").order_by("place__name", "name", "code")


def skins() -> QuerySet[Skin]:
    """Skins that should be here: not finished, not lost."""
    waiting = Skin.objects.filter(stage__in=(Skin.Stage.RAW, Skin.Stage.IN_WORK))
    return waiting.select_related("place").order_by("tag")


def pieces() -> QuerySet[Article]:
    """Pieces that did not leave, wherever they are."""
    return Article.objects.filter(gone_on__isnull=True).select_related("place").order_by("number")


def said(row: Skin | Article) -> str:
    """What it is, in the words of the sheet."""
    if isinstance(row, Skin):
        theirs = f", of {row.customer or 'a customer'}" if row.theirs else ""
        return f"Skin, {row.species}{theirs}"
    return f"{row.kind}, a customer's" if row.customers else row.kind


def by_place() -> list[tuple[str, list[Thing]]]:
    """By place: materials, then skins that are not finished or lost, then pieces not gone."""
    things = [(row.place, Thing(row)) for row in materials()]
    rows: list[Skin | Article] = [*skins(), *pieces()]
    things += [(row.place, Thing(row)) for row in rows]
    return grouped(things)


def grouped(rows: Iterable[tuple[Place | None, T]]) -> list[tuple[str, list[T]]]:
    """By the name of their place; those without one last."""
    found: dict[str, list[T]] = defaultdict(list)
    for place, row in rows:
        found[str(place or "")].append(row)
    return sorted(found.items(), key=lambda each: (not each[0], each[0].casefold()))


def reasons() -> list[str]:
    """Words that stood on earlier count differences, to be chosen again."""
    told = Posting.objects.filter(kind=Kind.COUNT, reverses__isnull=True).exclude(reason="")
    return list(told.order_by("reason").values_list("reason", flat=True).distinct()[:50])
