"""The stock sheet as a report: each thing that was there at the end of a day, at cost and at the lower value."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from costing.report.valuation.stock_sheet import selectors as stock_sheet
from costing.report.valuation.stock_sheet.rules import Counted, Group, Sheet
from inventory import formats, money
from inventory.base import selectors as workshop
from inventory.base.accounting import selectors as accounting
from inventory.money import ZERO
from inventory.report import Cells, Column, DoesNotAddUp, Form, Kind, Report, Section, Table

BASIS = (
    "At cost: what was paid for materials and skins, and the materials that went into them. Own hours are not in it.",
    "The lower value is the lower of cost and of what a piece would bring after selling costs, line by line. It is a reference:"
    " which of the two counts is for your tax office to say.",
    "Skins of customers are not ours and count nothing; materials that went into them are in work until they are handed over.",
)
VALUES = (
    Column("value", "At cost", Kind.MONEY, share=25),
    Column("lower", "Lower value", Kind.MONEY, share=25, kept="Lower of both"),
)
COLUMNS = (
    Column("part", "Part", forms=Form.FILES),
    Column("what", "Description", share=66, kept="What"),
    Column("place", "Location", forms=Form.PAPER, share=40),
    Column("consigned", forms=Form.PAPER, blank="", under="place"),
    Column("quantity", "Quantity", Kind.EXACT, share=26),
    Column("unit", "Unit", forms=Form.FILES),
    Column("place", "Place", forms=Form.FILES),
    VALUES[0],
    Column("realisable", "Would bring", Kind.MONEY, forms=Form.FILES),
    VALUES[1],
)


def things(on: date) -> Table:
    """Every line of the sheet. A figure for `realisable` is a reference."""
    return _things(f"Stock on {on}", stock_sheet.at(on).lines)


def _things(title: str, lines: Sequence[Counted]) -> Table:
    rows = tuple(
        {
            "part": line.group.value,
            "what": line.what,
            "quantity": line.quantity,
            "unit": line.unit,
            "place": line.place,
            "consigned": "on consignment" if line.with_others else "",
            "value": line.value,
            "realisable": line.realisable,
            "lower": line.lower,
        }
        for line in lines
    )
    return Table("stock", title, COLUMNS, rows, forms=Form.FILES)


def at(on: date) -> Report:
    return of(stock_sheet.at(on), on)


def of(sheet: Sheet, on: date) -> Report:
    """Everything at the end of a day: a table for each group, also an empty one, and what they come to."""
    row, places = workshop.current(), workshop.places()
    added = sum((line.value for line in sheet.lines), ZERO)
    if added != sheet.total.value:
        raise DoesNotAddUp("The stock sheet", "value", added, sheet.total.value)
    groups: list[Section] = []
    for group in Group:
        lines = [line for line in sheet.lines if line.group is group]
        title = group.value.capitalize()
        groups.append(
            replace(
                _things(title, lines),
                name=group.name.lower(),
                summed=("value", "lower"),
                total_title=f"{title}, {len(lines)} line{'' if len(lines) == 1 else 's'}",
                empty="None",
                forms=Form.PAPER,
            )
        )
    total = money.show(sheet.total.value, row.currency)
    return Report(
        title="Stock sheet",
        period=on.isoformat(),
        currency=row.currency,
        places=places,
        sections=(*groups, _totals(sheet)),
        heading=(
            ("End of", formats.day(on)),
            ("Valuation method", accounting.method_words(on)),
            ("Value at cost", total),
        ),
        closing=BASIS,
        signatures=("Counted by", "Date", "Signed"),
    )


def _totals(sheet: Sheet) -> Table:
    named = {
        **{group.value.capitalize(): sums for group, sums in sheet.groups.items()},
        "Total": sheet.total,
        "of which on consignment": sheet.with_others,
    }
    rows: tuple[Cells, ...] = tuple(
        {"group": title, "value": sums.value, "lower": sums.lower} for title, sums in named.items()
    )
    columns = (Column("group", "Group", share=132), *VALUES)
    return Table("totals", "Totals", columns, rows, totals=frozenset({len(sheet.groups)}), forms=Form.PAPER)
