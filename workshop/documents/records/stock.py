"""The year-end stock sheet and the stocktake sheet from records."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from costing.report.valuation.stock_sheet import rules as stock_sheet_rules
from costing.report.valuation.stock_sheet import selectors as stock_sheet_read
from inventory import units
from inventory.base import selectors as workshop
from inventory.stocktake import selectors as stocktake
from workshop.documents.kit import wording
from workshop.documents.reports.stock_sheet import StockItem, StockSheet
from workshop.documents.shed.stocktake_sheet import StocktakeItem, StocktakeSheet


def stock_sheet(on: date) -> StockSheet:
    """Everything at the end of a day, group by group."""
    row, sheet = workshop.current(), stock_sheet_read.at(on)
    groups = tuple(
        (group.value, tuple(_line(each) for each in sheet.lines if each.line.group is group))
        for group in stock_sheet_rules.Group
    )
    return StockSheet(
        workshop=row.name,
        on=on,
        currency=row.currency,
        valuation_method=row.get_cost_flow_display().lower(),
        groups=groups,
        total=sheet.total.value,
        printed_on=workshop.today(),
        digits=workshop.places(),
    )


def _line(each: stock_sheet_rules.Valued) -> StockItem:
    return StockItem(
        description=each.line.what,
        quantity=_measure(each.line.quantity, each.line.unit),
        location=each.line.place,
        value=each.value,
        lower=each.lower,
        on_consignment=each.line.with_others,
    )


def _measure(quantity: Decimal, unit: str) -> str:
    return f"{wording.number(quantity)} {units.label(unit)}"


def stocktake_sheet() -> StocktakeSheet:
    """What is on the list and where it is kept: materials, then skins and pieces that should be here."""
    return StocktakeSheet(
        workshop=workshop.current().name,
        printed_on=workshop.today(),
        places=tuple((place, tuple(map(_counted, things))) for place, things in stocktake.by_place()),
    )


def _counted(thing: stocktake.Thing) -> StocktakeItem:
    return StocktakeItem(thing.code, thing.what, units.label(thing.unit) if thing.unit else "")
