"""The shopping list on paper: a table a supplier, and below them how long each thing that presses lasts, drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inventory.foresight.shopping import report
from inventory.foresight.shopping.selectors import ShoppingList

if TYPE_CHECKING:
    from workshop.documents.kit.page import Paper


def paper(found: ShoppingList, size: Paper | None = None) -> bytes:
    """The list as PDF."""
    # The drawing library takes long to load; what prints nothing does not wait for it.
    from workshop.documents.charts import ahead, course
    from workshop.reports import pdf

    pressing = [row for basket in found.baskets for row in basket.now]
    courses = [(row.outlook.material.name, course.course(row.outlook, row.buy)) for row in pressing]
    drawn = [(name, ahead.draw(found, ahead.DESK), f"{name}: {found.told}") for name, found in courses]
    return pdf.render(report.of(found), size or pdf.own_sheet(), drawn=drawn)
