"""A year's results as one report: its figures, the statements that add up, what was sold, fairs, disposals, hours.

Owns which table has which columns and which form shows them. Adds nothing up that the rules have not worked out.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import asdict
from decimal import Decimal
from typing import Any

from costing.report.chain import report as chain
from costing.report.disposals import selectors as disposals
from costing.report.losses import report as losses
from costing.report.valuation.stock_sheet import report as stock_sheet
from costing.report.year import selectors as years, spending, statements, waiting
from costing.report.year.columns import DISPOSALS, EARNED, FAIR, FAIRS, GROUPED, LIMIT, PIECES, SUMMARY
from costing.report.year.profit import rules as profit, selectors as profit_read
from costing.report.year.profit.selectors import GROUPS, Year
from costing.report.year.selectors import YearState
from costing.report.year.turnover import rules as turnover
from costing.sell.fairs import selectors as fairs_read
from costing.sell.fairs.models import Fair
from costing.sell.fairs.rules import FairResult
from costing.sell.sales.lines import rules as sale_lines, selectors as sale_lines_read
from costing.sell.sales.lines.rules import PieceResult
from costing.sell.sales.lines.selectors import SoldLine
from costing.sell.sales.models import Sale
from inventory.base import selectors as workshop
from inventory.money import ZERO, half_up
from inventory.report import Cell, Cells, Column, Figures, Form, Kind, Link, Report, Section, Table

NOT_SOLD = "Nothing sold fits this."


def at(number: int, *, paper: bool = False, files: bool = False, state: YearState | None = None) -> Report:
    """Of a calendar year; of one that still runs, up to today. Raises Refused for a year off the calendar.

    `paper` adds the losses and `files` also the stock thing by thing, which are read for them alone. `state`: how the year stands,
    where the caller knows it.
    """
    state = state or years.state(years.checked(number))
    year = profit_read.year(number)
    last = years.until(number)
    limit = years.against_limit(last)
    sold = lines(number)
    figures = [*_figures(year), *_limit(limit), books := chain.figures()]
    sections: list[Section] = [
        *figures,
        _summary(number, figures, year.places),
        statements.fall(year),
        statements.bridge(year),
        *statements.of(year, limit),
        *spending.of(year),
        Figures("sold", "What was sold", EARNED[1:], _earned(total(sold)), Form.PAGE),
        pieces(sold),
        *(group(name, sold) for name in GROUPED),
        _fairs(number, sold),
        _disposals(number),
        *waiting.tables(number),
    ]
    if paper or files:
        sections.append(losses.rates())
    if files:
        sections.append(stock_sheet.things(year.last))
    currency = workshop.current().currency
    return Report(
        title=f"Results {number}",
        period=str(number),
        currency=currency,
        places=year.places,
        sections=tuple(sections),
        facts={
            "year": str(number),
            "currency": currency,
            "state": "running" if state.running else "ahead" if state.ahead else "over",
            "written": state.written,
            "stocked": state.stocked,
            "holds": not year.unaccounted and not year.bridge.miss,
            "limit": None,
        },
        closing=chain.words(books),
    )


def table(number: int, name: str) -> Report:
    """The same with one table alone where that needs no other figure of the year, else with all that files hold."""
    years.checked(number)
    alone: dict[str, Callable[[], Sequence[Section]]] = {
        "pieces": lambda: [pieces(lines(number))],
        **{f"by_{each}": lambda: [group(name.removeprefix("by_"), lines(number))] for each in GROUPED},
        "fairs": lambda: [_fairs(number, lines(number))],
        "given": lambda: [_disposals(number)],
        "waiting": lambda: waiting.tables(number),
        "unlogged": lambda: waiting.tables(number),
        "losses": lambda: [losses.rates()],
        "stock": lambda: [stock_sheet.things(years.days(number)[1])],
    }
    if name not in alone:
        return at(number, files=True)
    currency, places = workshop.current().currency, workshop.places()
    return Report(f"Results {number}", str(number), currency, places, tuple(alone[name]()))


def lines(number: int) -> list[SoldLine]:
    """What was sold and credited in a calendar year."""
    return sale_lines_read.lines(Sale.objects.filter(on__year=years.checked(number)).exclude(kind=Sale.Kind.OPENING))


def total(rows: Iterable[SoldLine]) -> PieceResult:
    return sale_lines.of_sales((row.sold for row in rows), workshop.places())


def group(name: str, rows: Sequence[SoldLine]) -> Table:
    """What sales left by species, method, channel or fair, the best paid hour first."""
    fairs = {row.sold.fair: row.sale.fair for row in rows} if name == "fair" else {}
    found = tuple({name: key, **_read(fairs.get(key)), **_earned(result)} for key, result in _by(name, rows).items())
    columns = FAIR if name == "fair" else (GROUPED[name],)
    return Table(f"by_{name}", f"By {name}", (*columns, *EARNED), found, empty=NOT_SOLD)


def _read(fair: Fair | None) -> dict[str, Cell]:
    return {"named": fair.name, "on": fair.on} if fair else {"named": "", "on": None}


def pieces(rows: Sequence[SoldLine]) -> Table:
    """One row for a thing, with all that was sold and credited of it."""
    mine: dict[str, list[SoldLine]] = {}
    for line in rows:
        mine.setdefault(GROUPS["piece"](line.sold), []).append(line)
    found = tuple(_piece(mine[name], result) for name, result in _by("piece", rows).items())
    return Table("pieces", "Pieces", PIECES, found, empty=NOT_SOLD)


def earned_by_method(found: Report) -> list[tuple[str, Decimal]]:
    """What an hour earned with each method that has hours, the best paid first."""
    rows = found.table("by_method").rows
    return [(str(row["method"]) or "no method", value) for row in rows if isinstance(value := row["per_hour"], Decimal)]


def _by(name: str, rows: Iterable[SoldLine]) -> dict[str, PieceResult]:
    return profit.grouped((row.sold for row in rows), GROUPS[name], workshop.places())


def _piece(rows: Sequence[SoldLine], result: PieceResult) -> Cells:
    first = rows[0]
    asked = [row.line for row in rows if row.sale.credits_id is None]
    return {
        "piece": _link(first),
        "papers": " ".join(dict.fromkeys(row.sale.number for row in rows)),
        "on": first.sale.on,
        **{name: GROUPS[name](first.sold) for name in GROUPED},
        "asked": sum((line.asked * line.quantity for line in asked), ZERO),
        "discount": sum((line.discount for line in asked), ZERO),
        **_earned(result),
    }


def _link(row: SoldLine) -> Cell:
    """The name of a thing, leading to the page of its article or skin where it is one."""
    if row.line.article is not None:
        return Link(row.sold.what, "article", row.line.article.number)
    skin = row.line.job.skin if row.line.job is not None else row.line.skin
    return row.sold.what if skin is None else Link(row.sold.what, "skin", skin.tag)


def _earned(result: PieceResult) -> dict[str, Cell]:
    return {"lines": result.count, **{column.key: getattr(result, column.key) for column in EARNED[1:]}}


def _fairs(number: int, sold: Sequence[SoldLine]) -> Table:
    days = fairs_read.days(Fair.objects.filter(on__range=years.days(number)), sold)
    rows = tuple(_fair(fair, day) for fair, day in days.items())
    return Table("fairs", "Fairs", FAIRS, rows, empty="No fair in this year.")


def _fair(fair: Fair, day: FairResult) -> Cells:
    return {"fair": fair.name, "on": fair.on, "stall_hours": half_up(day.money.stall_hours, 2), **asdict(day)}


def _disposals(number: int) -> Table:
    rows = tuple(disposals.summed(*years.days(number)))
    empty = "No discount, no return, no gift in this year."
    return Table(
        "given", "Discounts, returns and gifts", DISPOSALS, rows, empty=empty, kept="Let go, brought back, given"
    )


def _figures(year: Year) -> list[Figures]:
    """The figures by part and name, as they came out."""
    parts = ("consumables", "raw_skins", "in_work", "finished", "with_others", "total")
    stock = ("opening", "materials", "skins", "paid_help", "closing", "used")
    hours = {"making": year.making_hours, "stall": year.stall_hours, "other": year.other_hours, "total": year.hours}
    found: dict[str, dict[str, Any]] = {
        "turnover": {
            "gross": year.gross,
            "returns": year.returns,
            "net": year.turnover,
            "tips": year.tips,
            "tax": year.tax,
            "received": year.received,
        },
        "selling": {**asdict(year.selling), "total": year.selling.total},
        "overheads": asdict(year.overheads),
        "profit": {"stock_basis": year.stock_profit, "cash_basis": year.cash_profit},
        "bridge": asdict(year.bridge),
        "stock": {name: getattr(year.stock, name) for name in stock},
        "stock_parts": {name: getattr(year.parts, name) for name in parts},
        "conservation": {
            "used": year.stock.used,
            **asdict(year.gone),
            "accounted": year.gone.total,
            "miss": year.unaccounted,
        },
        "owing": {"deposits": year.deposits, "owed": year.owed, "bills": year.unpaid[1], "bad_debts": year.bad_debts},
        "hours": {name: half_up(value, 2) for name, value in hours.items()},
        "earned": {"per_hour": year.per_hour, "per_making_hour": year.per_making_hour},
    }
    kinds = {"hours": Kind.HOURS}
    return [
        Figures(part, part, tuple(Column(name, kind=kinds.get(part, Kind.MONEY)) for name in row), row, Form.DATA)
        for part, row in found.items()
    ]


def _limit(standing: turnover.Standing | None) -> list[Figures]:
    """How turnover stands against the limit of the terms; nothing where none is set."""
    if standing is None:
        return []
    values = {**asdict(standing), "span": standing.span.value, "from": standing.first}
    return [Figures("limit", "Turnover against the limit", LIMIT, values, Form.DATA | Form.PAGE)]


def _summary(number: int, figures: Iterable[Figures], places: int) -> Table:
    """The figures of the year, a row each: which part they belong to, what they are, how much."""
    units = {Kind.MONEY: workshop.current().currency, Kind.HOURS: "h", Kind.PERCENT: "%"}
    rows = tuple(
        {
            "part": part.name,
            "figure": column.kept or column.key,
            "value": _rounded(part.values[column.key], column, places),
            "unit": units.get(column.kind, ""),
        }
        for part in figures
        for column in part.columns
        if Form.CSV in column.forms
    )
    return Table("summary", f"Results {number}", SUMMARY, rows, forms=Form.FILES)


def _rounded(value: Cell, column: Column, places: int) -> Cell:
    return half_up(value, places) if isinstance(value, Decimal) and column.kind is Kind.MONEY else value
