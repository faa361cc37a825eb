"""Reports as commands answer them: plain data for JSON, and in words. Numbers are strings: no reader shall make floats of them."""

from collections.abc import Iterable, Iterator

from costing.report.year.columns import GROUPED
from inventory import report as reports
from inventory.base.chain.rules import counted
from inventory.report import Chart, Form, Report, Table
from workshop.answers.plain import Shape


def shape(report: Report) -> Shape:
    """Figures by their name, tables as lists of rows; figures without a name stand beside the facts."""
    found: Shape = dict(report.facts or {})
    for section in report.sections:
        if Form.JSON not in section.forms or isinstance(section, Chart):
            continue
        columns = [column for column in section.columns if Form.JSON in column.forms]
        if isinstance(section, Table):
            found[section.name] = [reports.record(columns, row, report.places) for row in section.rows]
        else:
            values = reports.record(columns, section.values, report.places)
            found.update({section.name: values} if section.name else values)
    return found


def year_shape(report: Report) -> Shape:
    found = shape(report)
    found["by"] = {name: found.pop(f"by_{name}") for name in GROUPED}
    return found


def year_lines(found: Shape) -> Iterable[str]:
    yield from _state(found)
    if not (found["written"] or found["stocked"]):
        return
    cur, profit, bridge = found["currency"], found["profit"], found["bridge"]
    yield f"{found['year']}: turnover {found['turnover']['net']} {cur} after credits."
    yield f"Profit {profit['stock_basis']} {cur} with stock, {profit['cash_basis']} {cur} on the cash basis."
    yield f"Between them {bridge['difference']}:{_named(bridge, ('stock', 'owed_to_me', 'deposits', 'unpaid_bills'))}."
    yield from _stock_flow(found)
    hours, earned, over = found["hours"], found["earned"], found["overheads"]
    yield f"Hours {hours['total']}: {hours['making']} making, {hours['stall']} at stalls, {hours['other']} other."
    hour, making = (earned[name] or "not known" for name in ("per_hour", "per_making_hour"))
    yield f"Profit per hour {hour}, per hour of making {making}."
    absorbed = (
        f"{over['recovered']} absorbed by the hours, {over['short']} under-absorbed, {over['over']} over-absorbed"
    )
    yield f"Overheads {over['spent']}: {absorbed}."
    owing = found["owing"]
    for row in found["costs"]:
        yield f"  {row['heading']}: {row['amount']} with stock, {row['paid']} on the cash basis"
    yield f"Selling cost {found['selling']['total']}. Deposits held {owing['deposits']}; owed to you {owing['owed']}."
    yield f"Bills you have not paid {owing['bills']}."
    if limit := found["limit"]:
        yield f"Turnover is at {limit['used_percent']} % of the limit of {limit['limit']} ({limit['span']})."
    for group, rows in found["by"].items():
        for row in rows:
            name = row[group] or f"no {group}"
            yield f"  {group}: {name}, contribution {row['left']}, {row['per_hour'] or '–'} an hour"
    for row in found["unlogged"]:
        yield f"{row['tag']} has {row['minutes']} minutes: hours probably not logged."
    yield from _check_value(found)


def _state(found: Shape) -> Iterator[str]:
    """How far the year is, where the figures would be read wrongly without it."""
    if found["state"] == "running":
        yield f"{found['year']} still runs; this is what is entered of it."
    elif found["state"] == "ahead":
        yield f"{found['year']} has not begun."
    if not found["written"]:
        yield f"Nothing is entered in {found['year']}."


def _named(row: Shape, names: Iterable[str]) -> str:
    return ",".join(f" {name.replace('_', ' ')} {row[name]}" for name in names)


def _stock_flow(found: Shape) -> Iterator[str]:
    stock, gone = found["stock"], found["conservation"]
    yield (
        f"Opening stock {stock['opening']}; {stock['materials']} materials, {stock['skins']} skins and "
        f"{stock['paid_help']} help bought; closing stock {stock['closing']}; {gone['used']} left the stock."
    )
    names = ("sold", "spoiled", "boxes", "differences", "own_use", "given", "other", "sharing")
    held = "all of it is accounted for" if found["holds"] else f"{gone['miss']} is unaccounted for; run check_books"
    yield f"Of that{_named(gone, names)}: {held}."


def cashbook_lines(found: Shape) -> Iterable[str]:
    yield f"Cash book {found['year']}, in {found['currency']}:"
    for row in found["months"]:
        moved = f"{row['opening']} + {row['in']} - {row['out']} = {row['closing']}"
        yield f"  {row['account']:<8} {row['month']}: {moved}"


def _check_value(found: Shape) -> Iterator[str]:
    books = found["books"]
    if books["check_value"]:
        yield f"Check value {books['check_value']} after {counted(books['entries'])}, {books['checked_on']}."


def month_lines(found: Shape) -> Iterable[str]:
    yield f"Used in {found['month']}: {found['used_value']} {found['currency']}."
    for line in found["lines"]:
        if line["used"] != "0":
            unit = line["unit"]
            yield f"  {line['name']}: {line['used']} {unit} ({line['used_value']}), {line['closing']} {unit} remaining"
    yield from _check_value(found)


def worth_lines(found: Shape) -> Iterable[str]:
    cur = found["currency"]
    yield f"Stock at book cost at the end of {found['on']}:"
    for line in found["materials"]:
        yield f"  {line['material']:<10} {line['quantity']:>10} {line['unit']:<6} {line['value']:>10} {cur}"
    for name in ("consumables", "raw_skins", "in_work", "finished", "total"):
        yield f"  {name.replace('_', ' '):<28} {found[name]:>10} {cur}"


def tax_lines(found: Shape) -> Iterable[str]:
    cur = found["currency"]
    yield f"Tax from {found['from']} to {found['to']}, in {cur}:"
    for name, words in (("sales", "sold"), ("purchases", "bought")):
        for row in found[name]:
            reason = f" ({row['reason']})" if row["reason"] else ""
            yield f"  {words} at {row['rate']} %{reason}: {row['net']} and {row['tax']} tax, {row['gross']} together"
    if found["exempt"]:
        yield f"  papers without tax: {', '.join(dict.fromkeys(row['number'] for row in found['exempt']))}"
    yield f"Tax on sales {found['collected']}, deducted {found['deductible']}, due {found['due']} {cur}."
