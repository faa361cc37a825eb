"""Rows of skins, sales and customers: each becomes what its own page would have written."""

from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import ClassVar

from costing.models import Channel, Customer, Payment
from costing.sell.customers import services as customers
from costing.sell.expenses.services import Cost
from costing.sell.payments.services import Paid
from costing.sell.sales import services as sales
from costing.sell.sales.invoices import selectors as invoices
from costing.sell.sales.offers.services import Item
from costing.sell.sales.services import AsIssued
from costing.sell.sales.terms import selectors as terms_read
from inventory import units
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, Skin
from inventory.permits import Person
from inventory.skins import services as skins
from inventory.suppliers import services as suppliers
from workshop.setup.bring.questions import UNITS, Question
from workshop.setup.bring.reading import Row
from workshop.setup.bring.values import Measure
from workshop.setup.bring.writing import Writer

_WEIGHTS = tuple(each for each in UNITS if each[0] in ("g", "kg", "oz", "lb"))
UNPAID = "unpaid"
_HOW = {
    Payment.How.CASH: ("cash",),
    Payment.How.CARD: ("card", "visa", "mastercard", "credit", "debit", "reader", "tap"),
    Payment.How.BANK: ("bank", "transfer", "check", "cheque", "wire", "sepa", "giro", "ach"),
}


def _text(row: Row, name: str) -> str:
    return str(row.found.get(name, ""))


def _day(row: Row) -> date:
    on = row.found["on"]
    assert isinstance(on, date)  # noqa: S101 - the field holds a day
    return on


def _sum(row: Row, name: str) -> Decimal:
    found = row.found.get(name)
    return found if isinstance(found, Decimal) else Decimal(0)


class Skins(Writer):
    heads: ClassVar = ("Tag", "Species", "Came", "Price", "Weight", "Supplier")
    identity: ClassVar = ("tag", "species", "on", "price", "green_weight", "supplier")

    def __init__(self, rows: Sequence[Row], answers: Mapping[str, str], by: Person) -> None:
        super().__init__(rows, answers, by)
        taken = {tag.casefold() for tag in Skin.objects.values_list("tag", flat=True)}
        taken |= {_text(row, "tag").casefold() for row in rows}
        self.tags = {}
        for row in rows:
            self.tags[row.sheet, row.number] = _text(row, "tag") or (
                "" if row.waits else _free(_day(row).year % 100, taken)
            )

    def questions(self) -> list[Question]:
        weights = [found for row in self.rows if isinstance(found := row.found.get("green_weight"), Measure)]
        if all(weight.unit for weight in weights):
            return []
        given = self.answers.get("unit", "")
        return [Question("unit", "Weights without a unit are in", _WEIGHTS, given, needed=True)]

    def write(self, row: Row) -> bool:
        skins.take_in(
            tag=self.tags[row.sheet, row.number],
            details=skins.Details(
                species=_text(row, "species"),
                date_in=_day(row),
                price=_sum(row, "price"),
                green_weight=self._grams(row),
                sex_age=_text(row, "sex_age"),
                supplier=suppliers.named_supplier(_text(row, "supplier"), by=self.by),
                source=_text(row, "source"),
                defects=_text(row, "defects"),
            ),
            by=self.by,
        )
        return True

    def _grams(self, row: Row) -> Decimal | None:
        weight = row.found.get("green_weight")
        if not isinstance(weight, Measure):
            return None
        return units.to_base(weight.amount, weight.unit or self.answers.get("unit", "g"), "g", name="a skin's weight")

    def shown(self, row: Row) -> list[str]:
        weight = row.found.get("green_weight")
        unit = weight.unit or self.answers.get("unit", "") if isinstance(weight, Measure) else ""
        said = f"{weight.amount:f} {unit}".strip() if isinstance(weight, Measure) else ""
        price = workshop.shown(_sum(row, "price"))
        return [
            self.tags[row.sheet, row.number],
            _text(row, "species"),
            str(_day(row)),
            price,
            said,
            _text(row, "supplier"),
        ]


def _free(year: int, taken: set[str]) -> str:
    """The next tag of a year for a skin that had none: 24-001."""
    count = 1
    while (tag := f"{year:02d}-{count:03d}") in taken:
        count += 1
    taken.add(tag)
    return tag


class Sales(Writer):
    heads: ClassVar = ("Date", "Sold", "Price", "Paid", "Customer")
    identity: ClassVar = ("on", "words", "article", "price", "customer")

    def __init__(self, rows: Sequence[Row], answers: Mapping[str, str], by: Person) -> None:
        super().__init__(rows, answers, by)
        self.channels = {channel.name.casefold(): channel for channel in Channel.objects.order_by("pk")}
        self.articles = {article.number.casefold(): article for article in Article.objects.order_by("pk")}
        self.terms = terms_read.terms()

    def questions(self) -> list[Question]:
        found = []
        if any(not self._said(row) for row in self.rows):
            ways = ((UNPAID, "not paid yet"), *((how.value, how.label.lower()) for how in Payment.How))
            given = self.answers.get("paid", "")
            found.append(Question("paid", "Sales that do not say how they were paid were", ways, given, needed=True))
        if self.terms.taxed:
            ways = (("yes", "with the tax in them"), ("no", "without the tax"))
            given = self.answers.get("with_tax", "")
            found.append(Question("with_tax", "The prices are", ways, given, needed=True))
        return found

    def _said(self, row: Row) -> str:
        """How a row says that it was paid; empty where it does not."""
        said = _text(row, "how").casefold()
        if not said:
            return ""
        if UNPAID in said or "owed" in said or said in ("no", "open", "due"):
            return UNPAID
        return next(
            (how.value for how, words in _HOW.items() if any(word in said for word in words)), Payment.How.OTHER
        )

    def _how(self, row: Row) -> str:
        return self._said(row) or self.answers.get("paid", "")

    def write(self, row: Row) -> bool:
        on, how = _day(row), self._how(row)
        customer = customers.named(name=_text(row, "customer"), by=self.by) if row.found.get("customer") else None
        channel = self.channels.get(_text(row, "channel").casefold())
        if how == UNPAID and customer is None:
            raise Refused("A sale that is not paid needs the customer who owes it.", field="customer")
        fee = _sum(row, "fee")
        sales.sell(
            on=on,
            items=[self._item(row)],
            customer=customer,
            channel=channel,
            paid=[] if how == UNPAID else [Paid(how=how)],
            spent=[Cost("fee", fee, withheld=True)] if fee else [],
            note=self._note(row, named=channel is not None),
            as_issued=AsIssued(
                seller=invoices.seller(),
                buyer=invoices.buyer(customer),
                taxed=self.terms.taxed,
                prices_with_tax=self.answers.get("with_tax", "yes") != "no",
            ),
            by=self.by,
        )
        return True

    def _item(self, row: Row) -> Item:
        article, price = self.articles.get(_text(row, "article").casefold()), _sum(row, "price")
        words = ", ".join(part for part in (_text(row, "article"), _text(row, "words")) if part)
        if article is not None:
            return Item(kind="article", asked=price, article=article, words=words)
        return Item(kind="other", asked=price, words=words)

    def _note(self, row: Row, *, named: bool) -> str:
        where = "" if named else _text(row, "channel")
        return ", ".join(part for part in (_text(row, "note"), f"at {where}" if where else "") if part)

    def shown(self, row: Row) -> list[str]:
        item, how = self._item(row), self._how(row)
        said = dict(Payment.How.choices).get(how, "not paid yet" if how == UNPAID else "")
        return [str(_day(row)), item.words, workshop.shown(item.asked), str(said).lower(), _text(row, "customer")]


class Customers(Writer):
    heads: ClassVar = ("Name", "Address", "E-mail", "Note")
    identity: ClassVar = ("name",)

    def __init__(self, rows: Sequence[Row], answers: Mapping[str, str], by: Person) -> None:
        super().__init__(rows, answers, by)
        self.there: set[str] = set()
        self.look_again()

    def look_again(self) -> None:
        self.there = {name.casefold() for name in Customer.objects.values_list("name", flat=True)}

    def write(self, row: Row) -> bool:
        name = _text(row, "name")
        if name.casefold() in self.there:
            return False
        self.there.add(name.casefold())
        customers.write(
            name=name,
            postal_address=_text(row, "postal_address"),
            electronic_address=_text(row, "electronic_address"),
            tax_number=_text(row, "tax_number"),
            note=self._note(row),
            by=self.by,
        )
        return True

    def _note(self, row: Row) -> str:
        phone = _text(row, "phone")
        return ", ".join(part for part in (f"Telephone {phone}" if phone else "", _text(row, "note")) if part)

    def shown(self, row: Row) -> list[str]:
        return [_text(row, "name"), _text(row, "postal_address"), _text(row, "electronic_address"), self._note(row)]
