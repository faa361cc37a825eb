"""A report on paper: its figures in tables that flow over pages, sums carried from page to page, charts as drawings.

Figures are printed as the report has them. Must not read any record nor add anything up.
"""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from reportlab.graphics.shapes import Drawing
from reportlab.lib.units import mm

from inventory import money, units
from inventory.base import selectors as workshop
from inventory.money import half_up
from inventory.report import Cell, Cells, Chart, Column, Form, Kind, Report, Table
from workshop.documents.charts import charts
from workshop.documents.charts.picture import Picture
from workshop.documents.kit import flow, letter, table as kit, wording
from workshop.documents.kit.letter import Party
from workshop.documents.kit.page import A4, SHEETS, Paper
from workshop.documents.type import fonts

WIDEST_CHART = 182 * mm
MOST_WHOLE = 12  # rows of a list that stays on one page; a longer one flows


def own_sheet() -> Paper:
    """The paper that the workshop prints on."""
    return SHEETS[workshop.current().paper]


def render(report: Report, size: Paper = A4, drawn: Sequence[tuple[str, Drawing, str]] = ()) -> bytes:
    """The report as PDF, upright, or lying where a figure needs a wider column; below it what is `drawn` besides, each by its
    title and with what it shows in words."""
    fonts.register()
    tables = {table.name: _Laid(table, report) for table in report.tables(Form.PAPER)}
    width = flow.room(size).width
    paper = size if all(each.fits(width) for each in tables.values()) else size.turned()
    story = _head(report)
    for section in report.sections:
        if Form.PAPER not in section.forms:
            continue
        if isinstance(section, Table):
            story += tables[section.name].story()
        elif isinstance(section, Chart) and section.points:
            _add(story, section.title, _picture(section, report, paper), paper)
    story = [
        flow.together(part) if isinstance(part, kit.Table) and len(part.rows) <= MOST_WHOLE else part for part in story
    ]
    for title, drawing, shown in drawn:
        story += flow.part(title, [Picture(drawing, shown)])
    story += _closing(report)
    about = [f"{label} {words}" for label, words in report.heading[:1]]
    printed = f"printed {wording.day(workshop.today())}"
    owner = workshop.current().name
    foot = " · ".join((owner, report.title, *about, f"in {report.currency}", printed))
    title = f"{report.title} {report.period}" if report.heading else report.title
    return flow.document(story, paper, title=title, author=owner, foot=foot, day=report.day)


def _head(report: Report) -> flow.Story:
    owner = workshop.current().name
    if report.heading:
        return [letter.head(report.title, Party(owner), Party(), report.heading)]
    return [flow.words(owner, size=11), flow.words(report.title, size=19, bold=True, after=3 * mm, level=1)]


def _closing(report: Report) -> flow.Story:
    """The closing words, of which the last stands with the places to sign."""
    if not report.closing:
        return []
    *words, last = flow.paragraphs(report.closing, first=5 * mm)
    if not report.signatures:
        return [*words, last]
    return [*words, flow.together(last, flow.blanks(*report.signatures, tall=20 * mm))]


def _add(story: flow.Story, title: str, picture: Picture, paper: Paper) -> None:
    """A picture under its title; where it is no taller than half a page it stands with the last row of the list it is drawn of."""
    drawn = flow.part(title, [picture])
    if isinstance(story[-1], kit.Table) and picture.tall <= flow.room(paper).height / 2:
        story[-1].closing += tuple(drawn)
    else:
        story += drawn


def _picture(chart: Chart, report: Report, paper: Paper) -> Picture:
    room, currency = flow.room(paper), report.currency
    if chart.shape == "steps":
        start, *steps, end = chart.points
        drawing = charts.bridge(start, steps, end, unit=currency, width=room.width)
    else:
        drawing = charts.bars(chart.points, unit=currency, width=min(room.width, WIDEST_CHART), money=True)
    shown = "; ".join(f"{name} {money.show(value, currency)}" for name, value in chart.points)
    return Picture(drawing, f"{chart.title}: {shown}", room.height - 18 * mm)


class _Laid:
    """A table of a report laid out for paper: each cell with what stands under it, sums below the last row."""

    def __init__(self, table: Table, report: Report) -> None:
        self.table, self.report = table, report
        shown = table.of(Form.PAPER)
        self.columns = [column for column in shown if not column.under]
        self.under = {each.key: [column for column in shown if column.under == each.key] for each in self.columns}
        # A unit that has a place of its own is not said again beside each figure.
        self.units_apart = any(column.kind is Kind.UNIT for column in shown)
        self.values_under = any(column.kind is Kind.MONEY and column.under for column in shown)
        # The most decimals that any figure of a column is written with.
        self.digits = {
            column.key: wording.written(cell for row in table.rows if isinstance(cell := row[column.key], Decimal))
            for column in shown
        }

    def fits(self, width: float) -> bool:
        """Whether every figure that has another under it has room at its full size."""
        whole = sum(column.share for column in self.columns)
        columns = [column for column in self.columns if column.is_figure and self.under[column.key]]
        return all(
            fonts.width(text, fonts.BOLD, flow.SIZE) + 3 * mm <= width * column.share / whole
            for column in columns
            for text in [*(text for row in self.table.rows for text in self._cell(column, row)), self._sum(column)]
        )

    def story(self) -> flow.Story:
        table = self.table
        if not table.rows:
            return flow.part(table.title, [flow.words(table.empty)]) if table.empty else []
        made = kit.Table(
            [self._head(column) for column in self.columns],
            (),
            title=table.title,
            note=table.note,
            write=self._money,
            sums=[*self._rows(), *self._closing()],
        )
        # A statement that adds up stays on one page; a list may flow.
        return [flow.together(made) if table.totals else made]

    def _head(self, column: Column) -> kit.Column[Any]:
        """The currency is named where sums of it are carried over."""
        title = f"{column.title}, {self.report.currency}" if column.key in self.table.summed else column.title
        # That sums of it are carried over; the amounts come with the rows.
        carried = (lambda item: None) if self._summed(column) else None
        if self.values_under and column is self.columns[0]:
            title += f" · amount, value in {self.report.currency}"
        bold = self.values_under and bool(self.under[column.key])
        return kit.Column(title, column.share, figure=column.is_figure, bold=bold, amount=carried)

    def _rows(self) -> list[kit.TableRow]:
        return [
            kit.TableRow(
                [self._cell(column, row) for column in self.columns],
                bold=at in self.table.totals,
                amounts=self._amounts(row),
            )
            for at, row in enumerate(self.table.rows)
        ]

    def _summed(self, column: Column) -> str:
        """The key whose sum stands in a column: its own or of what stands under it. Empty where there is none."""
        return next((each.key for each in (column, *self.under[column.key]) if each.key in self.table.summed), "")

    def _amounts(self, row: Cells) -> list[tuple[int, Decimal]]:
        found = [(at, row[key]) for at, column in enumerate(self.columns) if (key := self._summed(column))]
        return [(at, half_up(value, self.report.places)) for at, value in found if isinstance(value, Decimal)]

    def _closing(self) -> list[kit.TableRow]:
        if not self.table.summed:
            return []
        total = [self.table.total_title, *(self._sum(column) for column in self.columns[1:])]
        after = [
            kit.TableRow([title, *(self._money(values.get(column.key)) for column in self.columns[1:])])
            for title, values in self.table.after
        ]
        return [kit.TableRow(total, bold=True), *after]

    def _sum(self, column: Column) -> str:
        return self._money(self.table.sums().get(self._summed(column)))

    def _money(self, value: Cell) -> str:
        places = self.report.places
        return wording.number(half_up(value, places), places) if isinstance(value, Decimal) else ""

    def _cell(self, column: Column, row: Cells) -> tuple[str, str]:
        small = " · ".join(filter(None, (self._text(each, row) for each in self.under[column.key])))
        return self._text(column, row), small

    def _text(self, column: Column, row: Cells) -> str:
        cell = row[column.key]
        if cell is None or cell == "":
            return column.blank
        if isinstance(cell, date):
            return wording.day(cell)
        if column.kind is Kind.UNIT:
            return units.label(str(cell))
        return self._number(cell, column, row) if isinstance(cell, Decimal) else str(cell)

    def _number(self, value: Decimal, column: Column, row: Cells) -> str:
        if column.kind is Kind.MONEY:
            return self._money(value)
        unit = str(row.get("unit", ""))
        if column.kind is Kind.QUANTITY:
            read = self.table.read(row)  # quantities beside each other have the same decimals
            text = wording.number(read[column.key], units.decimals(read[column.key]))
        else:
            text = wording.number(value, 0 if unit else self.digits[column.key])
        return f"{text} {units.label(unit)}" if unit and not self.units_apart else text
