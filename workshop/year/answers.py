"""A year's results as plain data for JSON, and in words. Numbers are strings: no reader shall make floats of them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

from costing.report.year import selectors as year_read
from costing.report.year import selectors as years
from costing.report.year.selectors import LookBack
from costing.report.year.turnover import rules as turnover
from inventory.base import selectors as workshop
from inventory.errors import Refused
from workshop.answers.plain import Shape, coins
from workshop.year import columns as year_columns
from workshop.year import sheets
from workshop.year.columns import Cell, Column, Sheet


def year_number(text: str) -> int:
    """A year as a command line or a link names it."""
    if not (text.isascii() and text.isdecimal() and len(text) == len("2025")):
        raise Refused(f"{text} is no year. Write it with four figures, as 2025.", field="year")
    return years.checked(int(text))


def results_answer(number: int) -> Shape:
    return results_shape(year_read.at(number))


def results_shape(found: LookBack) -> Shape:
    year = found.year
    figures = {part: _strings(part, row) for part, row in sheets.parts(found).items()}
    return {
        "year": str(year.first.year),
        "currency": workshop.current().currency,
        **state(found.standing),
        **figures,
        "holds": year.conservation.holds and not year.bridge.miss,
        "limit": _limit(found.limit),
        "pieces": table(sheets.piece_sheet(found, found.lines)),
        "by": {group: table(sheets.group_sheet(found, group, found.lines)) for group in sheets.GROUPED},
        "fairs": table(sheets.fairs(found)),
        "given": table(sheets.given(found)),
        **{sheet.name: table(sheet) for sheet in sheets.hands(found)},
    }


def state(standing: years.Standing) -> Shape:
    """Whether the year is over, running or ahead, and whether anything is written in it or stocked by its end."""
    word = "running" if standing.running else "ahead" if standing.ahead else "over"
    return {"state": word, "written": standing.written, "stocked": standing.stocked}


def _strings(part: str, row: dict[str, Decimal | None]) -> Shape:
    write = _hours if part == "hours" else coins
    return {name: write(value) for name, value in row.items()}


def _hours(value: Decimal | None) -> str | None:
    return None if value is None else f"{value:f}"


def _limit(standing: turnover.Standing | None) -> Shape | None:
    if standing is None:
        return None
    return {
        "span": standing.span.value,
        "from": standing.first.isoformat(),
        "turnover": coins(standing.turnover),
        "limit": coins(standing.limit),
        "used_percent": f"{standing.used_percent:f}",
        "left": coins(standing.left),
        "passed_on": standing.passed_on.isoformat() if standing.passed_on else None,
    }


def table(sheet: Sheet) -> list[dict[str, str | None]]:
    """A sheet's rows with every cell as text."""
    return [{column.key: text(cell, column) for column, cell in year_columns.cells(sheet, row)} for row in sheet.rows]


def text(cell: Cell, column: Column) -> str | None:
    if cell is None:
        return None
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, Decimal):
        return coins(cell) if column.kind == year_columns.MONEY else f"{cell:f}"
    return str(cell)


def results_lines(found: Shape) -> Iterable[str]:
    yield from _stands(found)
    if not (found["written"] or found["stocked"]):
        return
    cur, profit, bridge = found["currency"], found["profit"], found["bridge"]
    yield f"{found['year']}: turnover {found['turnover']['net']} {cur} after credits."
    yield f"Profit {profit['stock_basis']} {cur} with stock counted, {profit['cash_basis']} {cur} as money moved."
    yield f"Between them {bridge['difference']}:{_told(bridge, ('stock', 'owed_to_me', 'deposits', 'unpaid_bills'))}."
    yield from _gone(found)
    hours, earned, over = found["hours"], found["earned"], found["overheads"]
    yield f"Hours {hours['total']}: {hours['making']} making, {hours['stall']} at stalls, {hours['other']} other."
    yield f"An hour earned {_known(earned['per_hour'])}, an hour of making {_known(earned['per_making_hour'])}."
    yield f"Overheads {over['spent']}: {over['recovered']} borne by the hours, {over['short']} short, {over['over']} over."
    owing = found["owing"]
    yield f"Selling cost {found['selling']['total']}. Deposits held {owing['deposits']}; owed to you {owing['owed']}."
    if limit := found["limit"]:
        yield f"Turnover is at {limit['used_percent']} % of the limit of {limit['limit']} ({limit['span']})."
    for group, rows in found["by"].items():
        for row in rows:
            name = row[group] or f"no {group}"
            yield f"  {group}: {name}, {row['left']} left, {row['per_hour'] or '–'} an hour"
    for row in found["unlogged"]:
        yield f"{row['tag']} has {row['minutes']} minutes: were some never written down?"


def _stands(found: Shape) -> Iterator[str]:
    """How far the year is, where the figures would be read wrongly without it."""
    if found["state"] == "running":
        yield f"{found['year']} still runs; this is what is written of it."
    elif found["state"] == "ahead":
        yield f"{found['year']} has not begun."
    if not found["written"]:
        yield f"Nothing is written of {found['year']}."


def _known(figure: str | None) -> str:
    return figure or "nothing known"


def _told(row: Shape, names: Iterable[str]) -> str:
    return ",".join(f" {name.replace('_', ' ')} {row[name]}" for name in names)


def _gone(found: Shape) -> Iterator[str]:
    stock, gone = found["stock"], found["conservation"]
    yield (
        f"Stock: {stock['opening']} at first, {stock['materials']} materials, {stock['skins']} skins and "
        f"{stock['paid_help']} help bought, {stock['closing']} at last; {gone['used']} went."
    )
    names = ("sold", "spoiled", "boxes", "differences", "own_use", "given", "other", "sharing")
    held = "all of it is told" if found["holds"] else f"{gone['miss']} is told nowhere; run check_books"
    yield f"Of that{_told(gone, names)}: {held}."
