"""The year-end stock sheet and the count sheet from records."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from costing.report.valuation.stock_sheet import rules as stocksheet
from costing.report.valuation.stock_sheet import selectors as sheets
from inventory import units
from inventory.base import selectors as workshop
from inventory.stocktake import selectors as counting
from workshop.prints.sizes import page_of

if TYPE_CHECKING:
    from workshop.papers.count_sheet import CountSheet
    from workshop.papers.stock_sheet import StockLine, StockSheet


def stock_sheet_pdf(on: date, sheet: str = "") -> bytes:
    from workshop.papers import stock_sheet as paper

    return paper.render(stock_sheet(on), page_of(sheet))


def stock_sheet(on: date) -> StockSheet:
    """Everything at the end of a day, group by group."""
    from workshop.papers.stock_sheet import StockSheet

    row, sheet = workshop.current(), sheets.at(on)
    groups = tuple(
        (group.value, tuple(_line(each) for each in sheet.lines if each.line.group is group))
        for group in stocksheet.Group
    )
    return StockSheet(
        workshop=row.name,
        on=on,
        currency=row.currency,
        cost_flow=row.get_cost_flow_display().lower(),
        groups=groups,
        total=sheet.total.value,
        written_on=workshop.today(),
        digits=workshop.places(),
    )


def _line(each: stocksheet.Valued) -> StockLine:
    from workshop.papers.stock_sheet import StockLine

    return StockLine(
        what=each.line.what,
        quantity=_measure(each.line.quantity, each.line.unit),
        place=each.line.place,
        value=each.value,
        lower=each.lower,
        with_others=each.line.with_others,
    )


def _measure(quantity: Decimal, unit: str) -> str:
    from workshop.papers import wording

    return f"{wording.number(quantity)} {units.label(unit)}"


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
