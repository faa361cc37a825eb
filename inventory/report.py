"""A report: figures worked out once, as plain values that every form of it is made from: page, paper, CSV, workbook, JSON.

Owns what a report consists of and how a cell is written for other programs. Must not know where a figure comes from, a
database, or what a page looks like.
"""

from __future__ import annotations

from calendar import monthrange
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from enum import Flag, StrEnum, auto
from fractions import Fraction
from typing import NamedTuple

from inventory import units
from inventory.errors import Refused
from inventory.money import ZERO, half_up


class Kind(StrEnum):
    """What a column holds. A quantity is in the base unit, and its row tells by `unit` in which unit it is read."""

    MONEY = "money"
    HOURS = "hours"
    COUNT = "count"
    DAY = "day"
    PERCENT = "percent"
    QUANTITY = "quantity"
    EXACT = "exact"
    UNIT = "unit"
    TEXT = "text"


class Form(Flag):
    """A form that a section or a column has a place in. What a person reads may leave out what only files hold."""

    PAGE = auto()
    PAPER = auto()
    CSV = auto()
    BOOK = auto()
    JSON = auto()
    READ = PAGE | PAPER
    FILES = CSV | BOOK
    DATA = FILES | JSON
    ALL = READ | DATA


class Link(NamedTuple):
    """Words that lead to the page named `page` of the thing `arg`, with other words around them."""

    text: str
    page: str
    arg: str | int
    before: str = ""
    after: str = ""

    def __str__(self) -> str:
        return f"{self.before}{self.text}{self.after}"


Cell = str | int | Decimal | date | Link | None
Cells = Mapping[str, Cell]


@dataclass(frozen=True)
class Column:
    """`key` names it to programs and `title` to readers; `kept` is its heading in a workbook where the title has changed since.

    `share` is its share of a paper's width. `far` is left out on a narrow screen. `dash`: zero is shown as a dash. `blank`
    stands for words that are empty. `under` names the column under whose cell it stands on paper.
    """

    key: str
    title: str = ""
    kind: Kind = Kind.TEXT
    forms: Form = Form.ALL
    share: float = 1
    far: bool = False
    dash: bool = False
    blank: str = "–"
    kept: str = ""
    under: str = ""

    @property
    def is_figure(self) -> bool:
        return self.kind not in (Kind.TEXT, Kind.DAY, Kind.UNIT)


class DoesNotAddUp(Refused):
    """A row of which the parts do not come to its sum."""

    def __init__(self, which: str, what: str, expected: Decimal, stated: Decimal) -> None:
        self.expected, self.stated = expected, stated
        super().__init__(
            f"{which}: the parts come to a {what} of {expected:f}, the report says {stated:f}. Check the books."
        )


@dataclass(frozen=True)
class Table:
    """`totals` are rows (by index) that sum up others; `summed` are columns whose total closes the table under its last row,
    and `after` what is said below that total.

    Each of `adds_up` names columns of which the last is the sum of those before it, a minus before a name taking it away. A row
    for which that does not hold is refused by the cells `named_by`, so that no form can show it. `empty` is said in place of
    rows; `come_to` are the sums where the rows are a part of them all.
    """

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Cells, ...]
    totals: frozenset[int] = frozenset()
    summed: tuple[str, ...] = ()
    total_title: str = "Total"
    after: tuple[tuple[str, Cells], ...] = ()
    note: str = ""
    aside: str = ""
    empty: str = ""
    kept: str = ""
    forms: Form = Form.ALL
    adds_up: tuple[tuple[str, ...], ...] = ()
    named_by: tuple[str, ...] = ()
    come_to: Mapping[str, Decimal] | None = None

    def __post_init__(self) -> None:
        for row in self.rows:
            for *parts, result in self.adds_up:
                expected = sum((_signed(row, part) for part in parts), ZERO)
                if expected != row[result]:
                    which = " ".join(str(row[key]) for key in self.named_by)
                    raise DoesNotAddUp(which, result, expected, _signed(row, result))

    def of(self, form: Form) -> tuple[Column, ...]:
        """The columns that have a place in a form."""
        return tuple(column for column in self.columns if form in column.forms)

    def only(self, *keys: str, first: int | None = None) -> Table:
        """Some columns, in the order asked for, of all rows or of the first ones."""
        by_key = {column.key: column for column in self.columns}
        return Table(self.name, self.title, tuple(by_key[key] for key in keys), self.rows[:first], empty=self.empty)

    def where(self, fits: Callable[[Cells], bool]) -> Table:
        """The rows that fit."""
        return replace(self, rows=tuple(row for row in self.rows if fits(row)))

    def part(self, start: int, stop: int) -> Table:
        """Some rows, closed by what all of them come to."""
        return replace(self, rows=self.rows[start:stop], come_to=self.sums())

    def sums(self) -> Mapping[str, Decimal]:
        """What the summed columns come to."""
        if self.come_to is not None:
            return self.come_to
        return {key: sum((_signed(row, key) for row in self.rows), ZERO) for key in self.summed}

    def read(self, row: Cells) -> dict[str, Decimal]:
        """The quantities of a row in its unit as people read them (`units.read`), all to the most decimals that one of them
        has. Where they add up, they do so as they are read: what is rounded is shared out to those that moved, the one that
        was rounded away most first; what an earlier sum has settled stays.
        """
        unit = str(row.get("unit", ""))
        held = {
            column.key: value
            for column in self.columns
            if column.kind is Kind.QUANTITY and isinstance(value := row[column.key], Decimal)
        }
        places = max((units.decimals(units.read(value, unit)) for value in held.values()), default=0)
        exact = {key: Fraction(value) / units.ratio(unit) for key, value in held.items()}
        found = {key: half_up(value, places) for key, value in exact.items()}
        settled: set[str] = set()
        for first, *parts, result in self.adds_up:
            if result in found:
                _share_out(exact, found, parts, settled, first, result)
                settled |= {part.removeprefix("-") for part in parts}
        return found


def _share_out(
    exact: Mapping[str, Fraction],
    found: dict[str, Decimal],
    parts: Sequence[str],
    settled: set[str],
    first: str,
    result: str,
) -> None:
    """Moves parts that moved and are not settled by a last digit until `first` and all of them come to `result` as read."""
    free = [part for part in parts if exact[key := part.removeprefix("-")] and key not in settled]
    while miss := found[result] - sum((_signed(found, part) for part in parts), found[first]):
        up = miss > 0
        lost = {part: _lost(exact, found, part) for part in free}
        part = max(free, key=lambda each: lost[each] if up else -lost[each])
        digit = Decimal(1).scaleb(-units.decimals(found[result]))
        found[part.removeprefix("-")] += digit if up != part.startswith("-") else -digit


def _lost(exact: Mapping[str, Fraction], found: Mapping[str, Decimal], part: str) -> Fraction:
    """What rounding took of a part, by its sign."""
    key = part.removeprefix("-")
    lost = exact[key] - Fraction(found[key])
    return -lost if part != key else lost


def _signed(row: Mapping[str, Cell], part: str) -> Decimal:
    value = row[part.removeprefix("-")]
    if not isinstance(value, Decimal):
        return ZERO
    return -value if part.startswith("-") else value


@dataclass(frozen=True)
class Figures:
    """Single figures under one name, a column each. Without a name they belong to the report itself."""

    name: str
    title: str
    columns: tuple[Column, ...]
    values: Cells
    forms: Form = Form.ALL


@dataclass(frozen=True)
class Chart:
    """Named figures to be drawn: as `bars`, or as the `steps` that lead from the first to the last."""

    name: str
    title: str
    shape: str
    points: tuple[tuple[str, Decimal], ...]
    forms: Form = Form.READ


Section = Table | Figures | Chart


@dataclass(frozen=True)
class Report:
    """`facts` are what JSON says beside the figures. `note` closes the paper, `signatures` are the places to sign it."""

    title: str
    period: str
    currency: str
    places: int
    sections: tuple[Section, ...]
    facts: Mapping[str, str | bool | None] | None = None
    heading: tuple[tuple[str, str], ...] = ()
    closing: tuple[str, ...] = ()
    signatures: tuple[str, ...] = ()

    @property
    def day(self) -> date:
        """The last day of its period: of a year, a month, a day, or of the later of two days with ".." between.

        >>> Report("", "2024-02", "EUR", 2, ()).day, Report("", "2025-01-01..2025-06-30", "EUR", 2, ()).day
        (datetime.date(2024, 2, 29), datetime.date(2025, 6, 30))
        """
        year, month, day = (*map(int, self.period.split("..")[-1].split("-")), 0, 0)[:3]
        month = month or 12
        return date(year, month, day or monthrange(year, month)[1])

    def tables(self, form: Form) -> list[Table]:
        return [each for each in self.sections if isinstance(each, Table) and form in each.forms]

    def table(self, name: str) -> Table:
        return next(each for each in self.sections if isinstance(each, Table) and each.name == name)

    def figures(self, form: Form) -> list[Figures]:
        return [each for each in self.sections if isinstance(each, Figures) and form in each.forms]

    def values(self, name: str) -> Cells:
        return next((each.values for each in self.sections if isinstance(each, Figures) and each.name == name), {})

    def charts(self, form: Form) -> list[Chart]:
        return [each for each in self.sections if isinstance(each, Chart) and form in each.forms]


def text(cell: Cell, column: Column, row: Cells, places: int) -> str | None:
    """A cell as other programs read it: a decimal point, ISO dates, money in the currency's `places`, None for unknown.

    >>> text(Decimal("2.5"), Column("value", kind=Kind.MONEY), {}, 2)
    '2.50'
    >>> text(Decimal(1440), Column("used", kind=Kind.QUANTITY), {"unit": "kg"}, 2)
    '1.44'
    """
    if isinstance(cell, Decimal):
        if column.kind is Kind.MONEY:
            return f"{half_up(cell, places):f}"
        return units.number(cell, str(row["unit"])) if column.kind is Kind.QUANTITY else f"{cell:f}"
    if isinstance(cell, date):
        return cell.isoformat()
    return None if cell is None else str(cell)


def record(columns: Iterable[Column], row: Cells, places: int) -> dict[str, str | None]:
    """A row as other programs read it, by the keys of its columns."""
    return {column.key: text(row[column.key], column, row, places) for column in columns}
