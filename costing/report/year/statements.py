"""The statements of a year that add up: how each profit comes about, where the stock went, hours, stock, overheads, the limit."""

from decimal import Decimal

from costing.report.year.profit.selectors import Year
from costing.report.year.turnover import rules as turnover
from inventory import formats
from inventory.base import selectors as workshop
from inventory.money import half_up
from inventory.report import Chart, Column, Form, Kind, Table

Line = tuple[str, Decimal | None] | tuple[str, Decimal | None, Decimal | None]
FIRST, SECOND = "value", "other"


def of(year: Year, limit: turnover.Standing | None) -> list[Table]:
    return [
        _receipts(year),
        _profits(year),
        _stock_flow(year),
        _stock(year),
        _hours(year),
        _overheads(year),
        *_limit(limit),
    ]


def _statement(
    name: str,
    title: str,
    lines: list[Line],
    *,
    totals: set[str],
    columns: tuple[str, ...] = ("Value",),
    note: str = "",
    kind: Kind = Kind.MONEY,
) -> Table:
    """Lines in words with their values, those of nothing left out; a line in `totals` is what those above it come to."""
    keys = (FIRST, SECOND)
    lines = [line for line in lines if line[0] in totals or any(line[1:])]
    rows = tuple({"line": line[0], **dict(zip(keys, line[1:], strict=False))} for line in lines)
    return Table(
        name,
        title,
        (Column("line", share=3), *(Column(key, head, kind) for key, head in zip(keys, columns, strict=False))),
        rows,
        totals=frozenset(at for at, line in enumerate(lines) if line[0] in totals),
        note=note,
        aside="h" if kind is Kind.HOURS else workshop.current().currency,
        forms=Form.READ,
    )


def _receipts(year: Year) -> Table:
    """Gross receipts apart from what was taken back or given off after."""
    lines: list[Line] = [
        ("Gross receipts", year.gross),
        ("Returns and credits", year.returns),
        ("Turnover after credits", year.turnover),
    ]
    return _statement("receipts", "Receipts", lines, totals={"Turnover after credits"}, note="Without tax.")


def _profits(year: Year) -> Table:
    """The two profits side by side, each from its own figures down to its sum."""
    stock, own_use = year.stock, year.gone.own_use
    paid, paid_selling, paid_overheads = year.paid
    lines: list[Line] = [
        ("Turnover after credits", year.turnover - year.tips, None),
        *([("Tips", year.tips, None)] if year.tips else []),
        ("Money received, with what was withheld", None, year.received),
        ("Stock that left, without own use", own_use - stock.used, None),
        ("Materials bought", None, -paid.materials),
        ("Skins bought", None, -paid.skins),
        *([("Help paid", None, -paid.paid_help)] if paid.paid_help else []),
        *([("Own use, at book cost", None, own_use)] if own_use else []),
        ("Selling costs", -year.selling.total, -paid_selling.total),
        ("Overheads", -year.overheads.spent, -paid_overheads),
        *([("Bad debts", -year.bad_debts, None)] if year.bad_debts else []),
        ("Profit", year.stock_profit, year.cash_profit),
    ]
    return _statement(
        "profits",
        "The two profits",
        lines,
        totals={"Profit"},
        columns=("With stock (accrual basis)", "Cash basis"),
        note="Your own hours are in neither. Which of the two your tax office wants is for you to find out.",
    )


def _stock_flow(year: Year) -> Table:
    """opening + bought - closing, and where exactly that went."""
    gone, miss = year.gone, year.unaccounted
    named = (
        ("sold or handed over, at book cost", gone.sold),
        ("spoiled", gone.spoiled),
        ("packing gone with sales", gone.boxes),
        ("stocktake differences", gone.differences),
        ("own use", gone.own_use),
        ("given away", gone.given),
        ("other", gone.other),
        ("built into frames", gone.frames),
        ("rounding piece by piece", gone.sharing),
    )
    help_paid = year.stock.paid_help
    lines: list[Line] = [
        ("Opening stock", year.stock.opening),
        ("Materials bought", year.stock.materials),
        ("Skins bought", year.stock.skins),
        *([("Help paid, which is in the pieces", help_paid)] if help_paid else []),
        ("Closing stock", -year.stock.closing),
        ("Left the stock", year.stock.used),
        *((words, value) for words, value in named if value),
        ("Accounted for", gone.total),
        *([("Unaccounted for", miss)] if miss else []),
    ]
    note = "The two do not agree. Run the check of the books." if miss else ""
    totals = {"Left the stock", "Accounted for", "Unaccounted for"}
    return _statement("went", "Where the stock went", lines, totals=totals, note=note)


def _stock(year: Year) -> Table:
    held = year.parts
    lines: list[Line] = [
        ("Consumables", held.consumables),
        ("Raw skins", held.raw_skins),
        ("In work", held.in_work),
        ("Finished, here", held.finished - held.with_others),
        ("Finished, on consignment", held.with_others),
        ("Closing stock", held.total),
        ("Owed to me by buyers, less what I owe back", year.owed),
        ("Deposits and money paid ahead that I hold", year.deposits),
        *([("Bills not paid yet, equipment apart", year.unpaid[1])] if year.unpaid[1] else []),
        *([("Equipment not written off yet", left)] if (left := year.spent.not_written_off) else []),
    ]
    note = "At book cost; customers' skins count nothing."
    return _statement("closing_stock", "Closing stock and debts", lines, totals={"Closing stock"}, note=note)


def _hours(year: Year) -> Table:
    each = (
        ("Making", year.making_hours),
        ("At stalls", year.stall_hours),
        ("Papers, buying, other", year.other_hours),
        ("Total hours", year.hours),
    )
    lines: list[Line] = [(words, half_up(value, 2)) for words, value in each]
    return _statement("hours", "My hours", lines, totals={"Total hours"}, columns=("Hours",), kind=Kind.HOURS)


def _overheads(year: Year) -> Table:
    over = year.overheads
    per_hour, per_making = "Profit with stock, per hour", "Profit with stock, per hour of making"
    lines: list[Line] = [
        ("Overheads spent", over.spent),
        ("Absorbed by the hours of making, at the rate of their day", over.recovered),
        ("Over-absorbed", over.over) if over.over else ("Under-absorbed", over.short),
        (per_hour, year.per_hour),
        (per_making, year.per_making_hour),
    ]
    title = "Overhead absorbed and profit per hour"
    return _statement("overheads", title, lines, totals={per_hour, per_making})


def _limit(standing: turnover.Standing | None) -> list[Table]:
    """Turnover against the limit of the terms; none where none is set."""
    if standing is None:
        return []
    lines: list[Line] = [
        ("Turnover that counts", standing.turnover),
        ("The limit in the terms", standing.limit),
        ("Remaining", standing.left),
    ]
    note = f"{formats.figure(standing.used_percent)} % used, {standing.span.value} from {formats.day(standing.first)}."
    if standing.passed_on:
        note += f" Passed on {formats.day(standing.passed_on)}."
    return [_statement("limit", "Turnover against the limit", lines, totals={"Remaining"}, note=note)]


def fall(year: Year) -> Chart:
    """From sales to the profit with stock: what each kind of cost takes away. The steps come to it exactly."""
    points = (
        ("Sales", year.turnover),
        ("Stock used", year.gone.own_use - year.stock.used),
        ("Selling costs", -year.selling.total),
        ("Overheads", -year.overheads.spent),
        ("Profit", year.stock_profit),
    )
    rounded = tuple((name, half_up(value, year.places)) for name, value in points)
    return Chart("fall", "From sales to profit", "steps", rounded)


def bridge(year: Year) -> Chart:
    """Both profits in the currency's decimals and what lies between; steps of nothing are left out."""
    across = year.bridge
    named = (
        ("More stock" if across.stock >= 0 else "Less stock", across.stock),
        ("More owed to me" if across.owed_to_me >= 0 else "Less owed to me", across.owed_to_me),
        ("Deposits held" if across.deposits < 0 else "Deposits earned", across.deposits),
        ("Bills not paid yet", across.unpaid_bills),
        ("Bad debts" if across.bad_debts < 0 else "Bad debts recovered", across.bad_debts),
        ("Unexplained", across.miss),
    )
    points = (
        ("Profit, cash basis", year.cash_profit),
        *((name, value) for name, value in named if value),
        ("Profit with stock", year.stock_profit),
    )
    rounded = tuple((name, half_up(value, year.places)) for name, value in points)
    return Chart("bridge", "The bridge", "steps", rounded)
