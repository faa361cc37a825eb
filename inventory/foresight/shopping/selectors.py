"""The shopping list from the forecast: a basket for each supplier, one for materials of which no supplier was named."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from inventory.foresight import selectors as foresight
from inventory.foresight.advice import YEAR_DAYS, Advice, advices
from inventory.foresight.selectors import Outlook
from inventory.foresight.shopping import rules
from inventory.foresight.snoozes import selectors as snoozes
from inventory.foresight.snoozes.models import Snooze
from inventory.foresight.words import TO_ORDER
from inventory.suppliers.models import Supplier

NO_SUPPLIER = "No supplier named"


@dataclass(frozen=True)
class Row:
    """A line of a basket with the material's outlook and what is advised."""

    line: rules.Line
    outlook: Outlook
    buy: Advice


@dataclass(frozen=True)
class Basket:
    """One order: its sums and its rows."""

    supplier: Supplier | None
    sums: rules.Basket
    now: tuple[Row, ...]
    soon: tuple[Row, ...]

    @property
    def name(self) -> str:
        return self.supplier.name if self.supplier else NO_SUPPLIER


@dataclass(frozen=True)
class ShoppingList:
    """As of a day: the baskets, the first to be ordered first; what is set `aside`; what is `next` where nothing presses."""

    on: date
    baskets: tuple[Basket, ...]
    aside: tuple[tuple[Outlook, Snooze], ...]
    next: Row | None


def shopping_list(on: date) -> ShoppingList:
    return listed(foresight.outlooks(on), on)


def listed(outlooks: Iterable[Outlook], on: date) -> ShoppingList:
    """The list of these materials. What is set aside comes along with nothing."""
    found = list(outlooks)
    aside = snoozes.apart(found, on).aside
    hidden = {each.material.pk for each, _ in aside}
    buys = advices(found)
    rows = [_row(each, buys[each.material.pk]) for each in found if each.material.pk not in hidden]
    of: dict[Supplier | None, list[Row]] = defaultdict(list)
    for row in rows:
        if row is not None:
            of[row.buy.supplier].append(row)
    baskets = [made for supplier, each in of.items() if (made := _basket(supplier, each, on))]
    baskets.sort(key=lambda each: (each.sums.by, each.supplier is None, each.name))
    later = [row for row in rows if row is not None and not row.line.presses]
    return ShoppingList(on, tuple(baskets), aside, min(later, key=lambda row: row.line.order_by, default=None))


def _row(outlook: Outlook, buy: Advice) -> Row | None:
    """None of what is not to be bought at all."""
    seen = outlook.forecast
    if seen.order_by is None or not buy.lot.quantity:
        return None
    line = rules.Line(
        code=outlook.material.code,
        quantity=buy.lot.quantity,
        goods=buy.lot.cost,
        order_by=seen.order_by,
        presses=seen.state in TO_ORDER,
        yearly=seen.use.rate * YEAR_DAYS,
    )
    return Row(line, outlook, buy)


def _basket(supplier: Supplier | None, rows: Sequence[Row], on: date) -> Basket | None:
    usual, free_from = (supplier.carriage, supplier.carriage_free_from) if supplier else (None, None)
    sums = rules.basket([row.line for row in rows], on, usual, free_from)
    if sums is None:
        return None
    by_code = {row.line.code: row for row in rows}
    now, soon = (tuple(by_code[line.code] for line in lines) for lines in (sums.now, sums.soon))
    return Basket(supplier, sums, now, soon)
