"""The year-end stock sheet and the count sheet from records."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from costing.report.valuation.stock_sheet import report as stock_sheet
from inventory import units
from inventory.base import selectors as workshop
from inventory.stocktake import selectors as counting
from workshop.prints.sizes import page_of
from workshop.reports import files

if TYPE_CHECKING:
    from workshop.papers.count_sheet import CountSheet


def stock_sheet_pdf(on: date, sheet: str = "") -> bytes:
    from workshop.documents.kit.page import Paper

    size = page_of(sheet)
    return files.paper(stock_sheet.at(on), Paper(size.width_mm, size.height_mm))


def count_sheet_pdf(sheet: str = "") -> bytes:
    from workshop.papers import count_sheet as paper

    return paper.render(count_sheet(), page_of(sheet))


def count_sheet() -> CountSheet:
    """What is on the list and where it is kept: materials, then skins and pieces that should be here."""
    from workshop.papers.count_sheet import CountLine, CountSheet

    return CountSheet(
        workshop=workshop.current().name,
        written_on=workshop.today(),
        places=tuple(
            (
                place,
                tuple(
                    CountLine(thing.code, thing.what, units.label(thing.unit) if thing.unit else "", not thing.unit)
                    for thing in things
                ),
            )
            for place, things in counting.by_place()
        ),
    )
