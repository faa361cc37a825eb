"""The shopping list as a report, for paper and files: a table a supplier to read, one table of all lines for a spreadsheet."""

from inventory import formats
from inventory.base import selectors as workshop
from inventory.foresight import words as forecasts
from inventory.foresight.shopping import words
from inventory.foresight.shopping.selectors import Basket, Row, ShoppingList
from inventory.report import Cells, Column, Form, Kind, Report, Table

LINES = "lines"
READ = (
    Column("name", "Material", share=3.2),
    Column("state", "State", share=2.6),
    Column("what", "To order", share=2),
    Column("goods", "Goods", Kind.MONEY, share=1.3),
)
FILE = (
    Column("supplier"),
    Column("material"),
    Column("name"),
    Column("when"),
    Column("order_by", kind=Kind.DAY),
    Column("state"),
    Column("packs", kind=Kind.COUNT),
    Column("pack", kind=Kind.QUANTITY),
    Column("quantity", kind=Kind.QUANTITY),
    Column("unit", kind=Kind.UNIT),
    Column("goods", kind=Kind.MONEY),
    Column("currency"),
)


def of(found: ShoppingList) -> Report:
    shop = workshop.current()
    tables = [table for at, basket in enumerate(found.baskets) for table in _tables(basket, at, found)]
    rows = [_kept(row, basket) for basket in found.baskets for row in (*basket.now, *basket.soon)]
    every = Table(LINES, "Shopping list", FILE, tuple(rows), forms=Form.FILES)
    nothing = () if found.baskets else ("Nothing is to be ordered.",)
    aside = tuple(f"Set aside: {words.aside(*each)}" for each in found.aside)
    return Report(
        "Shopping list",
        str(found.on),
        shop.currency,
        workshop.places(),
        (*tables, every),
        heading=(("As of", formats.day(found.on)),),
        closing=(*nothing, *aside),
    )


def _tables(basket: Basket, at: int, found: ShoppingList) -> list[Table]:
    currency = workshop.current().currency
    sums = basket.sums
    priced = sums.unpriced < len(sums.now)
    said = (f"{words.by(basket, found.on)}.", words.free(basket, currency), words.unpriced(basket) if priced else "")
    after: list[tuple[str, Cells]] = []
    if priced and sums.carriage is not None:
        after = [("Carriage", {"goods": sums.carriage}), ("Goods and carriage", {"goods": sums.total})]
    tables = [
        Table(
            f"order-{at}",
            basket.name,
            READ,
            tuple(_row(row) for row in basket.now),
            summed=("goods",) if priced else (),
            total_title="Goods",
            after=tuple(after),
            note=" ".join(filter(None, said)),
            forms=Form.PAPER,
        )
    ]
    if basket.soon:
        soon = tuple(_row(row) for row in basket.soon)
        tables.append(Table(f"soon-{at}", f"May come along from {basket.name}", READ, soon, forms=Form.PAPER))
    return tables


def _row(row: Row) -> Cells:
    seen = row.outlook.forecast
    state = forecasts.state(seen) if row.line.presses else f"Order by {formats.day(row.line.order_by)}"
    return {"name": row.outlook.material.name, "state": state, "what": words.what(row), "goods": row.line.goods}


def _kept(row: Row, basket: Basket) -> Cells:
    material, lot = row.outlook.material, row.buy.lot
    return {
        "supplier": basket.supplier.name if basket.supplier else "",
        "material": material.code,
        "name": material.name,
        "when": "now" if row.line.presses else "soon",
        "order_by": row.line.order_by,
        "state": str(row.outlook.forecast.state),
        "packs": lot.packs or None,
        "pack": material.pack_quantity,
        "quantity": lot.quantity,
        "unit": material.unit,
        "goods": row.line.goods,
        "currency": workshop.current().currency,
    }
