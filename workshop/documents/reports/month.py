"""Owns the month report: what was on the shelf, came in, was used and is left, by material, and what each batch took.

Figures come in exact and are printed exact; lines that do not add up are refused. Must not read any record.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from reportlab.lib.units import mm

from workshop.documents.charts import charts
from workshop.documents.kit import flow, fonts, wording
from workshop.documents.kit.errors import DoesNotAddUp
from workshop.documents.kit.page import A4, Paper
from workshop.documents.kit.table import Column, Table, TableRow
from workshop.documents.kit.wording import number, places, written

COLUMNS = ("Opening", "Received", "Used", "Other", "Closing")


Five = tuple[Decimal, Decimal, Decimal, Decimal, Decimal]


@dataclass(frozen=True)
class MonthLine:
    """One material's month: quantities and values by COLUMNS. Received and used count up, other carries its sign:

    opening + received − used + other = closing, for the quantity and for the value.
    """

    code: str
    name: str
    unit: str
    quantities: Five
    values: Five

    def __post_init__(self) -> None:
        for what, (opening, received, used, other, closing) in (("quantity", self.quantities), ("value", self.values)):
            expected = opening + received - used + other
            if expected != closing:
                raise DoesNotAddUp(f"{self.code} {self.name}", what, expected, closing)

    @property
    def used_value(self) -> Decimal:
        return self.values[COLUMNS.index("Used")]


@dataclass(frozen=True)
class BatchUse:
    """What one batch (or sales, or raw stock) took of one material."""

    batch: str
    material: str
    unit: str
    quantity: Decimal
    value: Decimal


@dataclass(frozen=True)
class MonthReport:
    """A workshop's month, "2025-01", in one currency."""

    title: str
    month: str
    currency: str
    lines: tuple[MonthLine, ...]
    by_batch: tuple[BatchUse, ...]
    printed_on: date

    def totals(self) -> tuple[Decimal, ...]:
        """Values summed by column. Quantities are not: kilograms and pieces have no sum."""
        return tuple(sum(column, Decimal(0)) for column in zip(*(line.values for line in self.lines), strict=True))

    @cached_property
    def digits(self) -> int:
        """The most decimals that any value of the report is written with."""
        return written([*(each for line in self.lines for each in line.values), *(use.value for use in self.by_batch)])

    def money(self, value: Decimal) -> str:
        return number(value, self.digits)


_NAMES, _FIGURES = 0.32, 0.136  # shares of the width, of the names and of each column of figures


_MOST_BARS = 20


def render(report: MonthReport, size: Paper = A4) -> bytes:
    """The report as PDF, upright, or lying where the figures need wider columns."""
    paper = size if _fits(report, flow.room(size).width) else size.turned()
    name = f"Materials, {wording.month(report.month)}"
    story = [
        flow.words(report.title, size=11),
        flow.words(name, size=19, bold=True),
        *_materials(report),
        *_batches(report),
        *_chart(report, paper),
    ]
    foot = f"{report.title} · {name} · printed {wording.day(report.printed_on)}"
    return flow.document(story, paper, title=name, author=report.title, foot=foot)


def _fits(report: MonthReport, width: float) -> bool:
    """Whether every figure has room in its column at its full size."""
    texts = [text for line in report.lines for cell in _cells(report, line) for text in cell]
    texts += [report.money(value) for value in report.totals()]
    return all(fonts.width(text, fonts.BOLD, flow.SIZE) + 3 * mm <= width * _FIGURES for text in texts)


def _cells(report: MonthReport, line: MonthLine) -> list[tuple[str, str]]:
    """Each quantity with its value under it."""
    digits = places(line.quantities)
    amounts = [number(amount, digits) for amount in line.quantities]
    return [(amount, report.money(value)) for amount, value in zip(amounts, line.values, strict=True)]


def _figures(report: MonthReport, at: int) -> Column[MonthLine]:
    return Column(COLUMNS[at], _FIGURES, lambda line: _cells(report, line)[at], figure=True, bold=True)


def _materials(report: MonthReport) -> flow.Story:
    if not report.lines:
        return [flow.words("Nothing was on the shelf, and nothing came in or was used.", before=6 * mm)]
    columns: list[Column[MonthLine]] = [
        Column(
            f"Material · amount, value in {report.currency}",
            _NAMES,
            lambda line: (line.name, f"{line.code} · {line.unit}"),
            bold=True,
        ),
        *(_figures(report, at) for at in range(len(COLUMNS))),
    ]
    totals = (f"All materials, value in {report.currency}", *map(report.money, report.totals()))
    return [Table(columns, report.lines, sums=[TableRow(totals, bold=True)])]


def _batches(report: MonthReport) -> flow.Story:
    """Use by batch, its sum, and, where the two tables differ, how much was used on no batch."""
    if not report.by_batch:
        return []
    columns: list[Column[BatchUse]] = [
        Column("Used for", 0.24, lambda use: use.batch),
        Column("Material", 0.40, lambda use: use.material),
        Column("Amount", 0.2, lambda use: f"{number(use.quantity)} {use.unit}", figure=True),
        Column(f"Value, {report.currency}", 0.16, lambda use: report.money(use.value), figure=True),
    ]
    total = sum((use.value for use in report.by_batch), Decimal(0))
    sums = [TableRow(("Total", "", "", report.money(total)), bold=True)]
    aside = sum((line.used_value for line in report.lines), Decimal(0)) - total
    if aside:
        sums.append(TableRow(("On no batch", "", "", report.money(aside))))
    return [Table(columns, report.by_batch, title="What it was used for", sums=sums)]


def _chart(report: MonthReport, paper: Paper) -> flow.Story:
    """Materials by the value used, most first; so many bars as a page takes, the rest in one."""
    used = sorted(((line.name, line.used_value) for line in report.lines if line.used_value), key=lambda row: -row[1])
    if not used:
        return []
    if len(used) > _MOST_BARS:
        rest = sum((value for _, value in used[_MOST_BARS:]), Decimal(0))
        used = [*used[:_MOST_BARS], (f"{len(used) - _MOST_BARS} more materials", rest)]
    room = flow.room(paper)
    drawing = charts.bars(used, unit=report.currency, width=min(room.width, 182 * mm), money=True)
    drawing.renderScale = min(1.0, (room.height - 18 * mm) / drawing.height)
    return flow.part("Used, by value", [drawing])
