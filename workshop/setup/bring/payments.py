"""Rows of a bank or a card reader: matched to what is owed, each for the maker to confirm, and recorded as payments."""

import re
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import ClassVar

from costing.models import Payment, Sale
from costing.sell.payments import selectors as payments_read, services as payments
from costing.sell.payments.selectors import Owed
from inventory.base import selectors as workshop
from inventory.money import ZERO
from inventory.permits import Person
from workshop.setup.bring.questions import NOT_BROUGHT, Question
from workshop.setup.bring.reading import Row
from workshop.setup.bring.writing import Writer

_NAME_LEAST = 3


class Payments(Writer):
    heads: ClassVar = ("Date", "Amount", "Payer and reference", "Pays")
    identity: ClassVar = ("on", "amount", "reference", "payer")
    once: ClassVar = ("pay:",)

    def __init__(self, rows: Sequence[Row], answers: Mapping[str, str], by: Person) -> None:
        super().__init__(rows, answers, by)
        self.open = {each.sale.number: each for each in payments_read.open_sales(workshop.today())}
        self.meant: dict[tuple[str, int], tuple[str, str]] = {}
        left = {number: each.balance.left for number, each in self.open.items()}
        for row in rows:
            if row.waits or not _came(row):
                continue
            found, why = match(
                _amount(row), _text(row), [each for each in self.open.values() if left[each.sale.number]], left
            )
            left[found] = max(left.get(found, ZERO) - _amount(row), ZERO)
            self.meant[row.sheet, row.number] = (self.answers.get(_asked(row)) or found or NOT_BROUGHT, why)

    def questions(self) -> list[Question]:
        ways = tuple((how.value, how.label.lower()) for how in Payment.How)
        found = [Question("how", "The money came by", ways, self.answers.get("how", ""), needed=True)]
        choices = (
            (NOT_BROUGHT, "no payment of an invoice"),
            *((number, _words(each)) for number, each in self.open.items()),
        )
        for row in self.rows:
            if (meant := self.meant.get((row.sheet, row.number))) is not None:
                label = f"{row.found['on']}: {workshop.coins(_amount(row))} {_text(row)[:60]}"
                new = meant[0] != NOT_BROUGHT and _asked(row) not in self.answers
                found.append(
                    Question(_asked(row), label, choices, *meant, needed=True, group="Payments", unconfirmed=new)
                )
        return found

    def passes(self, row: Row) -> bool:
        return self._pays(row) == NOT_BROUGHT

    def _pays(self, row: Row) -> str:
        return self.meant.get((row.sheet, row.number), (NOT_BROUGHT, ""))[0]

    def write(self, row: Row) -> bool:
        on = row.found["on"]
        assert isinstance(on, date)  # noqa: S101 - the field holds a day
        sale = Sale.objects.get(number=self._pays(row))
        payments.receive(
            sale=sale,
            amount=_amount(row),
            on=on,
            how=self.answers.get("how", ""),
            note=_text(row)[:200].lstrip("=+@-| "),
            by=self.by,
        )
        return True

    def shown(self, row: Row) -> list[str]:
        return [str(row.found["on"]), workshop.shown(_amount(row)), _text(row), self._pays(row)]


def match(amount: Decimal, text: str, open_: Sequence[Owed], left: Mapping[str, Decimal]) -> tuple[str, str]:
    """The number of the paper that money most likely pays, and by what it was known; empty where nothing tells.

    By its number in the text; else by the exact balance with the customer's name; else by a balance that only one has.
    """
    for each in open_:
        if names(each.sale.number, text) and amount <= left[each.sale.number]:
            return each.sale.number, "by its number"
    same = [each for each in open_ if left[each.sale.number] == amount]
    said = set(re.findall(r"\w+", text.casefold()))
    for each in same:
        words = [
            word for word in re.findall(r"\w+", str(each.sale.customer or "").casefold()) if len(word) >= _NAME_LEAST
        ]
        if words and said.issuperset(words):
            return each.sale.number, "by name and amount"
    if len(same) == 1:
        return same[0].sale.number, "by the amount alone: look twice"
    return "", "nothing is owed that fits"


def names(number: str, text: str) -> bool:
    """Whether a text names a paper, however its number is spaced: INV-118 in "inv 118", "INV118" and "Invoice INV-0118".

    >>> names("INV-118", "thanks, inv 118"), names("INV-118", "INV-1180"), names("117", "for 117"), names("7", "7 May")
    (True, False, True, False)
    """
    parts = re.findall(r"[a-z]+|\d+", number.casefold())
    if len("".join(parts)) < _NAME_LEAST:
        return False
    wanted = r"[\W_]*".join(f"0*{part.lstrip('0')}" if part.isdigit() else part for part in parts)
    return re.search(rf"(?<![a-z0-9]){wanted}(?![0-9])", text.casefold()) is not None


def _words(each: Owed) -> str:
    return f"{each.sale.number}, {each.sale.customer or 'no name'}, {workshop.coins(each.balance.left)} due"


def _asked(row: Row) -> str:
    return f"pay:{row.sheet}:{row.number}" if row.sheet else f"pay:{row.number}"


def _amount(row: Row) -> Decimal:
    found = row.found.get("amount")
    return found if isinstance(found, Decimal) else ZERO


def _came(row: Row) -> bool:
    """Whether money came in; rows of what went out are not wanted."""
    return _amount(row) > 0


def _text(row: Row) -> str:
    return " ".join(str(row.found[name]) for name in ("payer", "reference") if row.found.get(name))
