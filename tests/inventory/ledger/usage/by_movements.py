"""The month read the plain way, from every movement before it and in it: what the month balances are tested against."""

from __future__ import annotations

from collections import defaultdict
from decimal import Decimal

from inventory.ledger.costflow import Balance
from inventory.models import Kind, Material, Movement

COLUMNS = {Kind.OPENING: "opening", Kind.RECEIPT: "received", Kind.CORRECTED: "received", Kind.USE: "used"}
Columns = dict[str, Balance]


def flows(month: int) -> dict[str, Columns]:
    """By code: opening, received, used and other of each material that was there or moved in the month."""
    found: dict[str, Columns] = {}
    for material in Material.objects.order_by("name", "code"):
        moved: Columns = defaultdict(Balance)
        for row in Movement.objects.filter(material=material, month__lte=month):
            at = "opening" if row.month < month else COLUMNS.get(Kind(row.kind), "other")
            moved[at] = moved[at].plus(row.quantity, row.value)
        columns = {
            "opening": moved["opening"],
            "received": moved["received"],
            "used": Balance().less(*moved["used"]),
            "other": Balance().less(*moved["other"]),
        }
        if any(each.quantity for each in columns.values()):
            found[material.code] = columns
    return found


def used(first: int, last: int) -> dict[tuple[str, int], Balance]:
    """By code and month: what was used, where anything was."""
    moved: dict[tuple[str, int], Balance] = defaultdict(Balance)
    for row in Movement.objects.filter(month__range=(first, last), kind=Kind.USE).select_related("material"):
        at = row.material.code, row.month
        moved[at] = moved[at].less(row.quantity, row.value)
    return {at: each for at, each in moved.items() if each != (Decimal(0), Decimal(0))}
