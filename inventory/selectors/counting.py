"""What is to be counted and where it is kept, without a figure of the books: who counts must not be led by them."""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import QuerySet

from inventory.models import Article, Kind, Material, Posting, Skin


@dataclass(frozen=True)
class Thing:
    """A material in its unit; or, without one, a skin or a piece that is there or not."""

    code: str
    what: str
    unit: str = ""


def materials() -> QuerySet[Material]:
    """Every material, place by place."""
    return Material.objects.select_related("place").order_by("place__name", "name", "code")


def by_place() -> list[tuple[str, list[Thing]]]:
    """By place, those without one last: materials, then skins that are not finished or lost, then pieces not gone."""
    found: dict[str, list[Thing]] = {}
    for material in materials():
        _add(found, material.place, Thing(material.code, material.name, material.unit))
    waiting = Skin.objects.filter(stage__in=(Skin.Stage.RAW, Skin.Stage.IN_WORK)).select_related("place")
    for skin in waiting.order_by("tag"):
        theirs = f", of {skin.customer or 'a customer'}" if skin.theirs else ""
        _add(found, skin.place, Thing(skin.tag, f"Skin, {skin.species}{theirs}"))
    for article in Article.objects.filter(gone_on__isnull=True).select_related("place").order_by("number"):
        theirs = ", a customer's" if article.customers else ""
        _add(found, article.place, Thing(article.number, f"{article.kind}{theirs}"))
    return sorted(found.items(), key=lambda each: (not each[0], each[0].casefold()))


def reasons() -> list[str]:
    """Words that stood on earlier count differences, to be chosen again."""
    told = Posting.objects.filter(kind=Kind.COUNT, reverses__isnull=True).exclude(reason="")
    return list(told.order_by("reason").values_list("reason", flat=True).distinct()[:50])


def _add(found: dict[str, list[Thing]], place: object, thing: Thing) -> None:
    found.setdefault(str(place) if place else "", []).append(thing)
