"""The reports of material use: a month by material and by batch, a year by material and month."""

from decimal import Decimal

from costing.make.batches.issues import selectors as issues
from costing.report.chain import report as chain
from inventory.base import selectors as workshop
from inventory.ledger.usage import selectors as usage
from inventory.ledger.usage.selectors import Cell, Flow
from inventory.money import ZERO, from_steps, half_up
from inventory.report import Cells, Chart, Column, Figures, Form, Kind, Link, Report, Table

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
MOST_BARS = 20
_DATA = Form.CSV | Form.JSON
_PAPER_DATA = _DATA | Form.PAPER

FLOWS = (
    Column("month", "Month", forms=Form.CSV),
    Column("material", "Code", forms=_PAPER_DATA, under="name"),
    Column("name", "Material", share=58),
    Column("unit", "Unit", Kind.UNIT, _PAPER_DATA, under="name"),
    Column("opening", "Opening", Kind.QUANTITY, share=25, far=True),
    Column("in", "Received", Kind.QUANTITY, share=25, far=True, dash=True),
    Column("used", "Used", Kind.QUANTITY, share=25, dash=True),
    Column("other", "Other", Kind.QUANTITY, _DATA | Form.PAGE, far=True, dash=True),
    # On paper what was found missing has a minus, so that a line adds up from left to right.
    Column("change", "Other", Kind.QUANTITY, Form.PAPER, share=25),
    Column("closing", "Closing", Kind.QUANTITY, share=25),
    Column("opening_value", "Opening value", Kind.MONEY, _PAPER_DATA, under="opening"),
    Column("in_value", "Received value", Kind.MONEY, _PAPER_DATA, under="in"),
    Column("used_value", "Value used", Kind.MONEY, dash=True, under="used"),
    Column("other_value", "Other value", Kind.MONEY, _DATA),
    Column("change_value", "Other value", Kind.MONEY, Form.PAPER, under="change"),
    Column("closing_value", "Closing value", Kind.MONEY, far=True, under="closing"),
    Column("check_value", forms=Form.CSV),
)
ADDS_UP = (
    ("opening", "in", "-used", "-other", "closing"),
    ("opening", "in", "-used", "change", "closing"),
    ("opening_value", "in_value", "-used_value", "-other_value", "closing_value"),
)
BATCHES = (
    Column("batch", "Used for", share=24),
    Column("material", "Material", share=40),
    Column("quantity", "Quantity", Kind.QUANTITY, share=20),
    Column("value", "Value", Kind.MONEY, share=16),
)
CELLS = (
    Column("material", "Code"),
    Column("name", "Material"),
    Column("month", "Month"),
    Column("quantity", "Quantity", Kind.QUANTITY),
    Column("unit", "Unit"),
    Column("value", "Value", Kind.MONEY),
)


def month(text: str) -> Report:
    """What each material did in a month ("2025-01"), and what each batch took."""
    number = usage.month_number(text)
    named, currency = usage.month_text(number), workshop.current().currency
    flows = usage.flows(number)
    books = chain.figures()
    value = books.values["check_value"]
    materials = materials_table(tuple({**_flow(named, flow), "check_value": value} for flow in flows))
    used = from_steps(sum(flow.used_value for flow in flows), 3)
    first, _ = usage.month_days(number)
    return Report(
        title=f"Materials, {first:%B} {first.year}",
        period=named,
        currency=currency,
        places=workshop.places(),
        facts={"month": named, "currency": currency},
        sections=(
            materials,
            Figures("", "", (Column("used_value", "Used", Kind.MONEY),), {"used_value": used}, Form.JSON),
            used_chart(materials),
            batches_table(tuple(issues.by_batch(number)), used),
            books,
        ),
        closing=chain.words(books),
    )


def materials_table(rows: tuple[Cells, ...]) -> Table:
    return Table(
        "lines",
        "Materials",
        FLOWS,
        rows,
        summed=("opening_value", "in_value", "used_value", "other_value", "change_value", "closing_value"),
        total_title=f"All materials, value in {workshop.current().currency}",
        empty="Nothing was on the shelf, and nothing came in or was used.",
        forms=Form.READ | _DATA,
        adds_up=ADDS_UP,
        named_by=("material", "name"),
    )


def _flow(month: str, flow: Flow) -> Cells:
    opening, received, used, other, closing = flow.opening, flow.received, flow.used, flow.other, flow.closing
    return {
        "month": month,
        "material": flow.code,
        "name": Link(flow.name, "material", flow.code),
        "unit": flow.unit,
        "opening": opening.quantity,
        "in": received.quantity,
        "used": used.quantity,
        "other": other.quantity,
        "change": -other.quantity,
        "closing": closing.quantity,
        "opening_value": opening.value,
        "in_value": received.value,
        "used_value": used.value,
        "other_value": other.value,
        "change_value": -other.value,
        "closing_value": closing.value,
    }


def batches_table(rows: tuple[Cells, ...], used: Decimal) -> Table:
    """Use by batch and, where that is not all that was used, how much was used on no batch."""
    aside = used - sum((row["value"] for row in rows if isinstance(row["value"], Decimal)), ZERO)
    return Table(
        "by_batch",
        "What it was used for",
        BATCHES,
        rows,
        summed=("value",),
        empty="No material was used in this month.",
        after=(("On no batch", {"value": aside}),) if aside and rows else (),
        forms=Form.READ,
    )


def used_chart(materials: Table) -> Chart:
    """Materials by the value used, the most first; more than a page takes are one bar."""
    places = workshop.places()
    values = [(str(row["name"]), row["used_value"]) for row in materials.rows]
    used = [(name, half_up(value, places)) for name, value in values if isinstance(value, Decimal) and value]
    used.sort(key=lambda bar: -bar[1])
    if len(used) > MOST_BARS:
        rest = sum((value for _, value in used[MOST_BARS:]), ZERO)
        used = [*used[:MOST_BARS], (f"{len(used) - MOST_BARS} more materials", rest)]
    return Chart("used", "Used, by value", "bars", tuple(used), Form.PAPER)


def year(number: int) -> Report:
    """A year's use: `cells` has a row for each material and month of use, `by_month` a row for each material."""
    first = number * 12
    cells = usage.used_cells(first, first + 11)
    columns = (
        Column("name", "Material"),
        *(Column(str(at), name, Kind.MONEY, dash=True) for at, name in enumerate(MONTHS)),
        Column("value", "Year", Kind.MONEY),
        Column("quantity", "Quantity", Kind.QUANTITY),
    )
    by_month = Table(
        "by_month",
        "Use by material and month",
        columns,
        tuple(_wide(first, cells)),
        summed=(*map(str, range(12)), "value"),
        empty=f"No material was used in {number}.",
        forms=Form.PAGE,
    )
    rows: tuple[Cells, ...] = tuple(
        {
            "material": cell.code,
            "name": cell.name,
            "month": usage.month_text(cell.month),
            "quantity": cell.used.quantity,
            "unit": cell.unit,
            "value": cell.used.value,
        }
        for cell in cells
    )
    return Report(
        title=f"Material use {number}",
        period=str(number),
        currency=workshop.current().currency,
        places=workshop.places(),
        sections=(by_month, Table("cells", "Use by material and month", CELLS, rows, forms=Form.CSV)),
    )


def _wide(first: int, cells: list[Cell]) -> list[Cells]:
    """A row for each material, its values by month and the year's sums."""
    # Loading pandas takes about as long as starting the program; only the page of a year waits for it.
    import pandas as pd

    materials = {cell.code: cell for cell in cells}
    frame = pd.DataFrame(
        [(cell.code, str(cell.month - first), *cell.used) for cell in cells],
        columns=["material", "month", "quantity", "value"],
        dtype=object,  # exact figures stay exact: a number column of its own would make floats of them
    )
    months = frame.pivot(index="material", columns="month", values="value")
    months = months.reindex(index=list(materials), columns=[str(at) for at in range(12)])
    months = months.astype(object).where(months.notna(), ZERO)
    quantities = frame.groupby("material")["quantity"].sum()
    return [
        {
            "name": Link(cell.name, "material", code),
            "unit": cell.unit,
            **months.loc[code].to_dict(),
            "value": months.loc[code].sum(),
            "quantity": quantities[code],
        }
        for code, cell in materials.items()
    ]
