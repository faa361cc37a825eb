"""The year's costs under the headings of the maker's tax form, equipment by its life, contractors by person, receipts."""

from collections import defaultdict
from decimal import Decimal

from costing.report.year.columns import CONTRACTORS, COSTS, EQUIPMENT
from costing.report.year.profit.selectors import Year
from costing.sell.headings import selectors as headings
from inventory.money import ZERO
from inventory.report import Cells, Table

CHECK = "Check with your accountant which line each cost belongs to."


def of(year: Year) -> list[Table]:
    return [_by_heading(year), _equipment(year), _contractors(year)]


def _by_heading(year: Year) -> Table:
    """All that lowers the profit, each cost once: the totals are turnover less profit, in both ways of counting."""
    own_use, stock = year.gone.own_use, year.stock
    rows = headings.headings()
    kinds = headings.kinds()
    sums: dict[tuple[str, str], list[Decimal]] = {(row.line, row.words): [ZERO, ZERO] for row in rows}
    found: defaultdict[tuple[str, str], list[Decimal]] = defaultdict(lambda: [ZERO, ZERO], sums)

    def add(key: tuple[str, str], amount: Decimal, paid: Decimal) -> None:
        found[key][0] += amount
        found[key][1] += paid

    under = next(((row.line, row.words) for row in rows if row.stock), ("", "No heading: stock used"))
    add(under, stock.used - own_use, year.paid[0].bought - own_use)
    for code in dict.fromkeys([*year.spent.incurred, *year.spent.paid]):
        kind = kinds.get(code)
        heading = kind.heading if kind else None
        key = (heading.line, heading.words) if heading else ("", f"No heading: {kind or code}")
        add(key, year.spent.incurred.get(code, ZERO), year.spent.paid.get(code, ZERO))
    cells: tuple[Cells, ...] = tuple(
        {"label": f"{line} {words}".strip(), "line": line, "heading": words, "amount": amount, "paid": paid}
        for (line, words), (amount, paid) in found.items()
        if amount or paid
    )
    form = headings.form_of(rows)
    title = f"Costs by heading: {rows[0].form}" if rows and rows[0].form else "Costs by heading"
    note = " ".join(filter(None, (CHECK, form.note if form else "")))
    return Table("costs", title, COSTS, cells, summed=("amount", "paid"), note=note, kept="Costs by heading")


def _equipment(year: Year) -> Table:
    rows: tuple[Cells, ...] = tuple(
        {
            "what": row.what,
            "on": row.bought_on,
            "life": row.life_years,
            "price": row.written_off.price,
            "before": row.written_off.before,
            "share": row.written_off.share,
            "left": row.written_off.left,
        }
        for row in year.spent.equipment
        if row.written_off.price == row.written_off.before + row.written_off.share + row.written_off.left
    )
    note = "An equal share each year of its life, a whole one in the year it was bought. Your tax office may want another way."
    return Table(
        "equipment",
        "Equipment by its life",
        EQUIPMENT,
        rows,
        summed=("share", "left"),
        note=note if rows else "",
        adds_up=(("before", "share", "left", "price"),),
        named_by=("what",),
    )


def _contractors(year: Year) -> Table:
    rows: tuple[Cells, ...] = tuple(
        {"person": name, "costs": costs, "help": helped, "amount": costs + helped}
        for name, (costs, helped) in year.spent.people.items()
    )
    return Table(
        "contractors",
        "Contractors by person",
        CONTRACTORS,
        rows,
        summed=("costs", "help", "amount"),
        adds_up=(("costs", "help", "amount"),),
        named_by=("person",),
    )
