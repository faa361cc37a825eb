"""Owns the year-end stock sheet: what was there at the end of a day, at cost, and beside it the lower value as a reference.

Must not value anything: the sheet comes worked out (`costing.stocksheet`), and its groups must add up to its total.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from reportlab.lib.units import mm

from workshop.documents.kit import flow, letter, wording
from workshop.documents.kit.errors import PaperDoesNotAddUp
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table, TableRow

BASIS = (
    "At cost: what was paid for materials and skins, and the materials that went into them. Own hours are not in it.",
    "The lower value is the lower of cost and of what a piece would bring after selling costs, line by line. It is a reference:"
    " which of the two counts is for your tax office to say.",
    "Skins of customers are not ours and count nothing; materials that went into them are in work until they are handed over.",
)


@dataclass(frozen=True)
class StockItem:
    """A line of the sheet: its book value and the lower value beside it."""

    description: str
    quantity: str
    location: str
    value: Decimal
    lower: Decimal
    on_consignment: bool = False


@dataclass(frozen=True)
class StockSheet:
    """The sheet of a day: (group, its items) in order, also empty ones, and what everything comes to."""

    workshop: str
    on: date
    currency: str
    valuation_method: str
    groups: tuple[tuple[str, tuple[StockItem, ...]], ...]
    total: Decimal
    printed_on: date
    digits: int = 2

    def __post_init__(self) -> None:
        added = sum((item.value for _, items in self.groups for item in items), Decimal(0))
        if added != self.total:
            raise PaperDoesNotAddUp("the stock sheet", "value", added, self.total)

    def money(self, value: Decimal) -> str:
        return wording.number(value, self.digits)

    def sums(self, items: Sequence[StockItem]) -> tuple[str, str]:
        """What the items come to, at cost and at the lower value."""
        cost = sum((item.value for item in items), Decimal(0))
        return self.money(cost), self.money(sum((item.lower for item in items), Decimal(0)))


def render(sheet: StockSheet, size: Paper = A4) -> bytes:
    """The sheet as PDF, a table for each group, then their sums and a place to sign."""
    facts = [
        ("End of", wording.day(sheet.on)),
        ("Valuation method", sheet.valuation_method),
        ("Value at cost", f"{sheet.money(sheet.total)} {sheet.currency}"),
    ]
    *basis, last = flow.paragraphs(BASIS, first=5 * mm)
    story = [
        letter.head("Stock sheet", Party(sheet.workshop), Party(), facts),
        *(part for group, items in sheet.groups for part in _group(sheet, wording.opened(group), items)),
        flow.together(_totals(sheet)),
        *basis,
        flow.together(last, flow.blanks("Counted by", "Date", "Signed", tall=20 * mm)),
    ]
    foot = f"{sheet.workshop} · stock at the end of {wording.day(sheet.on)} · printed {wording.day(sheet.printed_on)}"
    return flow.document(story, size, title=f"Stock sheet {sheet.on}", author=sheet.workshop, foot=foot)


def _group(sheet: StockSheet, title: str, items: tuple[StockItem, ...]) -> flow.Story:
    if not items:
        return flow.part(title, [flow.words("None")])
    columns: list[Column[StockItem]] = [
        Column("Description", 66, lambda item: item.description),
        Column("Location", 40, lambda item: (item.location, "on consignment" if item.on_consignment else "")),
        Column("Quantity", 26, lambda item: item.quantity, figure=True),
        Column(f"At cost, {sheet.currency}", 25, amount=lambda item: item.value),
        Column(f"Lower value, {sheet.currency}", 25, amount=lambda item: item.lower),
    ]
    label = f"{title}, {len(items)} line{'' if len(items) == 1 else 's'}"
    total = TableRow((label, "", "", *sheet.sums(items)), bold=True)
    return [Table(columns, items, title=title, write=sheet.money, sums=[total])]


def _totals(sheet: StockSheet) -> Table:
    columns: list[Column[tuple[str, str, str]]] = [
        Column("Group", 132, lambda row: row[0]),
        Column(f"At cost, {sheet.currency}", 25, lambda row: row[1], figure=True),
        Column(f"Lower value, {sheet.currency}", 25, lambda row: row[2], figure=True),
    ]
    groups = [(wording.opened(group), *sheet.sums(items)) for group, items in sheet.groups]
    everything = [item for _, items in sheet.groups for item in items]
    consigned = [item for item in everything if item.on_consignment]
    sums = [
        TableRow(("Total", *sheet.sums(everything)), bold=True),
        TableRow(("of which on consignment", *sheet.sums(consigned))),
    ]
    return Table(columns, groups, title="Totals", sums=sums)
