"""Reads of the stock ledger: what a material held, and what could still be taken on a day."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from decimal import Decimal

from django.db.models import QuerySet, Sum

from inventory.costflow import Balance
from inventory.models import Article, Kind, Lot, Material, Movement, Posting, Skin


def day_balances(material: Material, on: date) -> list[Balance]:
    """The balance at the end of `on` and of each later day on which the material moved, up to now.

    Walks back from the balance of now; usually nothing moved later and it is the only one.
    """
    later = (
        Movement.objects.filter(material=material, on__gt=on)
        .order_by("-on")
        .values("on")
        .annotate(q=Sum("quantity"), v=Sum("value"))
    )
    days = [Balance(material.on_hand, material.value)]
    for moved in later:
        days.append(Balance(days[-1].quantity - moved["q"], days[-1].value - moved["v"]))
    return days[::-1]


def available(material: Material, on: date) -> Decimal:
    """What can be taken on `on` without any later day falling below nothing (base unit)."""
    return min(day.quantity for day in day_balances(material, on))


def balances(on: date, materials: Iterable[Material] | None = None) -> dict[int, tuple[Decimal, Decimal]]:
    """Quantity and value of each material at the end of `on`, summed from the movements."""
    rows = Movement.objects.filter(on__lte=on)
    if materials is not None:
        rows = rows.filter(material__in=materials)
    sums = rows.order_by().values("material").annotate(q=Sum("quantity"), v=Sum("value"))
    return {row["material"]: (row["q"], row["v"]) for row in sums}


def untouched_since(movement: Movement) -> bool:
    """True when nothing of the material was moved after `movement`, counting a reversed pair as nothing."""
    return not (
        Movement.objects.filter(material=movement.material_id, pk__gt=movement.pk)
        .filter(posting__reverses__isnull=True, posting__reversed_by__isnull=True)
        .exists()
    )


def open_lots(material: Material) -> QuerySet[Lot]:
    """Lots that still hold something, oldest first."""
    return Lot.objects.filter(material=material, quantity__gt=0).order_by("on", "pk")


def uses(material: Material, since: date, until: date) -> list[tuple[date, Decimal]]:
    """What was put in work or left with sales in a span, as (day, quantity) with quantity positive; reversals cancel."""
    rows = (
        Movement.objects.filter(material=material, kind__in=[Kind.USE, Kind.SOLD], on__gt=since, on__lte=until)
        .order_by("on")
        .values("on")
        .annotate(moved=Sum("quantity"))
        .values_list("on", "moved")
    )
    return [(day, -moved) for day, moved in rows if moved]


def history(material: Material) -> QuerySet[Movement]:
    """Every movement of a material, newest first, ready to list."""
    return (
        Movement.objects.filter(material=material)
        .select_related(
            "posting__reverses", "posting__reversed_by", "posting__delivery__supplier", "posting__written_by"
        )
        .order_by("-on", "-pk")
    )


def postings() -> QuerySet[Posting]:
    return Posting.objects.select_related("reverses", "reversed_by", "written_by").prefetch_related(
        "movements__material"
    )


def has_any() -> bool:
    """Whether any money is in the books of this floor: a movement, a skin with a price, a piece with one."""
    rows = (Movement.objects.all(), Skin.objects.filter(price__gt=0), Article.objects.filter(list_price__gt=0))
    return any(each.exists() for each in rows)
