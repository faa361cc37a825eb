"""What the shopping list says: by when, for how much, what would save the carriage, and the order as a message to copy."""

from datetime import date
from typing import Any

from inventory import formats, money
from inventory.foresight import words
from inventory.foresight.selectors import Outlook
from inventory.foresight.shopping.selectors import Basket, Row, ShoppingList
from inventory.foresight.snoozes.models import Snooze


def by(basket: Basket, on: date) -> str:
    """When the order must go out."""
    late = (on - basket.sums.by).days
    if late < 0:
        return f"Order by {formats.day(basket.sums.by)}"
    return f"Order today, overdue by {late} day{'' if late == 1 else 's'}" if late else "Order today"


def what(row: Row) -> str:
    """How much: one 2 kg pack, 3 packs of 2 kg, or loose."""
    return words.packs(row.buy.lot, row.outlook.material)


def price(row: Row, currency: str) -> str:
    return "no price yet" if row.line.goods is None else money.show(row.line.goods, currency)


def sums(basket: Basket, currency: str) -> str:
    """Goods and carriage and what they come to, as far as they are known."""
    found = basket.sums
    if found.unpriced == len(found.now):
        return "No price is known yet; the first delivery tells it."
    goods = f"Goods {money.show(found.goods, currency)}"
    if found.carriage is None:
        said = f"{goods}; what the supplier takes for carriage is not known."
    elif not found.carriage:
        said = f"{goods}, free of carriage."
    else:
        carriage = money.show(found.carriage, currency)
        said = f"{goods} and carriage {carriage}: {money.show(found.total, currency)}."
    return " ".join(filter(None, (said, unpriced(basket))))


def unpriced(basket: Basket) -> str:
    count = basket.sums.unpriced
    if not count:
        return ""
    return f"{f'{count} lines' if count > 1 else '1 line'} without a price {'are' if count > 1 else 'is'} not in it."


def free(basket: Basket, currency: str) -> str:
    """How much more would come free of carriage, and with what; empty where there is no such limit ahead."""
    found = basket.sums
    if found.missing is None or found.carriage is None:
        return ""
    more = f"Goods for {money.show(found.missing, currency)} more come free of carriage"
    if not found.fills:
        return f"{more}."
    names = {row.line.code: row.outlook.material.name for row in basket.soon}
    with_it = joined([names[line.code] for line in found.fills])
    return f"{more}: {with_it} would reach that and save {money.show(found.carriage, currency)}."


def joined(names: list[str]) -> str:
    """
    >>> joined(["alum"]), joined(["alum", "oil", "salt"])
    ('alum', 'alum, oil and salt')
    """
    *first, last = names
    return f"{', '.join(first)} and {last}" if first else last


def message(basket: Basket, shop: str) -> str:
    """The order as text to copy: what is to be sent and to whom, without a price."""
    lines = [f"- {row.outlook.material.name}: {what(row)}" for row in basket.now]
    return "\n".join([f"Order to {basket.name}" if basket.supplier else "To buy", "", *lines, "", shop])


def aside(outlook: Outlook, snooze: Snooze) -> str:
    return f"{outlook.material.name}, until {formats.day(snooze.until)}: {snooze.reason}"


def lines(found: ShoppingList, currency: str) -> list[str]:
    """The list as plain text: a paragraph a supplier, what may come along below what must be ordered."""
    said: list[str] = []
    for basket in found.baskets:
        said += [f"{basket.name}: {_low(by(basket, found.on))}"]
        said += [f"- {row.outlook.material.name}: {what(row)}, {price(row, currency)}" for row in basket.now]
        said.append(" ".join(filter(None, (sums(basket, currency), free(basket, currency)))))
        if basket.soon:
            said.append("May come along:")
            said += [f"- {_later(row, currency)}" for row in basket.soon]
        said.append("")
    return said[:-1]


def _low(text: str) -> str:
    return text[:1].lower() + text[1:]


def _later(row: Row, currency: str) -> str:
    name, day = row.outlook.material.name, formats.day(row.line.order_by)
    return f"{name}: {what(row)}, {price(row, currency)}; to be ordered by {day}"


def told(row: Row, currency: str) -> dict[str, Any]:
    """What the page says of a row, by the names its template uses."""
    return {
        **words.told(row.outlook, row.buy, currency),
        "line": row.line,
        "what": what(row),
        "reason": words.WHY.get(row.buy.lot.why, "").strip(),
    }
