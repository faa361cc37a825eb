"""An invoice of every kind and tax mode, issued through the services, to be written as an e-invoice."""

from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

from costing.models import Sale
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import services as terms
from inventory.base.accounting import services as workshop
from tests import factories
from tests.factories import DAY

D = Decimal
FI, DE = "FI12345671", "DE136695976"
HOSTILE = "<!DOCTYPE x [<!ENTITY e SYSTEM 'file:///etc/hostname'>]>&e; \"]]>\" עור 羊 🐑 " + "long " * 20


def thing(words: str, asked: str, rate: str | None = "25.5", **more: object) -> Item:
    details = {"kind": "other", "tax_percent": None if rate is None else D(rate), **more}
    return Item(words=words, asked=D(asked), **details)  # type: ignore[arg-type]


def without(words: str, asked: str, why: str, **more: object) -> Item:
    return thing(words, asked, "0", relief=why, **more)


def seller(*, registered: bool = True, country: str = "FI", currency: str = "EUR", **more: object) -> None:
    workshop.set_up(
        name="Utuharju Hides",
        maker="K. Person",
        postal_address="Lane 1\n99999 Utuharju",
        electronic_address="hides@example.org",
        country=country,
        currency=currency,
    )
    number = FI if registered else ""
    terms.set_terms(**{"tax_number": number, "business_number": "1234567-1", "payment_words": "By transfer", **more})  # type: ignore[arg-type]


def issued(*items: Item, to: str = "FI", number: str = "", name: str = "Ann Hill", **more: object) -> Sale:
    buyer = factories.customer(name, country=to, tax_number=number, postal_address="Hill Road 1, 10000 Town")
    return factories.sale(*items, customer=buyer, **more)


def _gross() -> Sale:
    seller()
    rug = thing("Reindeer skin", "185.00", quantity=D(3), discount=D("5.00"))
    return issued(rug, thing("Book", "12.90", "14"), thing("Postage", "7.30", kind="postage"))


def _net() -> Sale:
    seller(prices_with_tax=False)
    return issued(thing("Rug", "147.41", quantity=D("2.5"), discount=D("3.33")), thing("Book", "0.07", "14"))


def _many_small() -> Sale:
    seller()
    return issued(
        *[thing(f"Button {at}", "1.00", "24") for at in range(7)], thing("Lace", "0.05", "24", quantity=D("0.333"))
    )


def _way(**ways: object) -> Callable[[], Sale]:
    def made() -> Sale:
        seller(**ways)
        return issued(
            *[thing(f"Piece {at}", "0.99", "5.5", quantity=D(at)) for at in range(1, 9)], thing("Rug", "61.55")
        )

    return made


def _unregistered() -> Sale:
    seller(registered=False)
    return issued(thing("Rug", "170.00", None, discount=D("10.00")), thing("Postage", "9.90", None), number=DE, to="DE")


def _untaxed(why: str, to: str, number: str, *besides: Item) -> Callable[[], Sale]:
    def made() -> Sale:
        seller()
        return issued(without("Rug", "170.00", why, quantity=D(2)), *besides, to=to, number=number)

    return made


def _tip() -> Sale:
    seller()
    return issued(thing("Rug", "100.00"), Item(kind="tip", asked=D("5.00")))


def _paid(*amounts: str) -> Callable[[], Sale]:
    def made() -> Sale:
        sale = _gross()
        for amount in amounts:
            payments.receive(sale=sale, amount=D(amount), on=DAY, how="bank")
        return sale

    return made


def _deposit() -> Sale:
    seller()
    work = factories.job(price=200, customer=factories.customer(country="FI"))
    payments.receive(job=work, amount=D(80), on=DAY)
    return factories.sale(factories.item(work, 200, tax_percent=D("25.5")), customer=factories.customer(), on=DAY)


def _given() -> Sale:
    seller()
    return issued(thing("Sample", "20.00", discount=D("20.00")), thing("Card", "0"))


def _account() -> Sale:
    sale = _gross()
    sale.seller = {**sale.seller, "iban": "FI21 1234 5600 0007 85", "bic": "NDEAFIHH", "payment_name": "K. Person"}
    sale.save()
    return sale


def _of(made: Callable[[], Sale], **how: object) -> Callable[[], Sale]:
    """A credit note: of the whole, of one line (`line`), or of money off one (`off`)."""

    def credited() -> Sale:
        sale = made()
        first = sale.lines.order_by("position").first()
        assert first is not None
        if "line" in how:
            return credits.credit(sale=sale, on=DAY, reason="Came back", lines=[first])
        if "off" in how:
            credits.credit(sale=sale, on=DAY, reason="A scratch", amounts={first.pk: D(str(how["off"]))})
            return credits.credit(sale=sale, on=DAY, reason="Another", amounts={first.pk: D(str(how["off"]))})
        return credits.credit(
            sale=sale, on=DAY, reason="Came back", refund=Paid(how="bank") if how.get("refund") else None
        )

    return credited


def _rest() -> Sale:
    """The last credit of an invoice of which parts were credited: it takes what is left, to the coin."""
    sale = _many_small()
    for line in list(sale.lines.order_by("position"))[:3]:
        credits.credit(sale=sale, on=DAY, reason="Came back", lines=[line])
    return credits.credit(sale=sale, on=DAY, reason="All came back")


def _hostile() -> Sale:
    seller()
    return issued(thing(HOSTILE[:200], "10.00"), name=HOSTILE[:80])


def _abroad() -> Sale:
    """A seller of a country without value-added tax, who is not registered for any."""
    seller(registered=False, country="US", currency="USD", law="US")
    return issued(thing("Rug", "170.00", None), to="DE")


def _yen() -> Sale:
    seller(currency="JPY")
    return issued(thing("Rug", "20000", quantity=D(3)), thing("Book", "1290", "10"))


def _dear() -> Sale:
    seller()
    return issued(thing("Rug", "99.99", "100", quantity=D(7)), thing("Rug", "0.01", "100"))


@dataclass(frozen=True)
class Case:
    make: Callable[[], Sale]
    untaxed: str = ""


CASES = {
    "prices with tax, several rates, a discount": Case(_gross),
    "prices without tax": Case(_net),
    "a coin went to another line": Case(_many_small),
    "rounded line by line": Case(_way(tax_level="line")),
    "half a coin down": Case(_way(tax_way="half_down")),
    "always down": Case(_way(tax_way="down", prices_with_tax=False)),
    "the third place kept": Case(_way(tax_way="third")),
    "not registered": Case(_unregistered),
    "not registered, exempt": Case(_unregistered, "E"),
    "not registered, outside Europe": Case(_abroad),
    "within the Union": Case(_untaxed("Intra-community supply", "DE", DE), "K"),
    "export": Case(_untaxed("Export", "US", "RC-77"), "G"),
    "reverse charge": Case(_untaxed("Reverse charge", "DE", DE), "AE"),
    "resale certificate": Case(_untaxed("Resale certificate", "FI", "RC-77"), "E"),
    "zero-rated": Case(_untaxed("Zero-rated", "GB", ""), "Z"),
    "outside the tax": Case(_untaxed("Outside", "FI", ""), "O"),
    "exempt beside a rate": Case(_untaxed("Exempt", "FI", "", thing("Book", "9.99", "14")), "E"),
    "a tip": Case(_tip),
    "partly paid": Case(_paid("100.00", "50.00")),
    "paid": Case(_paid("570.20")),
    "with a deposit": Case(_deposit),
    "nothing to pay": Case(_given),
    "an account to pay into": Case(_account),
    "credited whole": Case(_of(_gross)),
    "credited whole, with a refund": Case(_of(_paid("570.20"), refund=True)),
    "credited by line": Case(_of(_gross, line=1)),
    "money off, twice": Case(_of(_gross, off="10.01")),
    "credited, not registered": Case(_of(_unregistered)),
    "credited, within the Union": Case(_of(_untaxed("Intra-community supply", "DE", DE)), "K"),
    "the rest credited": Case(_rest),
    "rounded line by line, credited": Case(_of(_way(tax_level="line"))),
    "hostile names": Case(_hostile),
    "a currency without cents": Case(_yen),
    "a rate of 100 %": Case(_dear),
}
