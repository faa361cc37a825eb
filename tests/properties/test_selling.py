"""Whatever is finished, sold, credited, moved, given, paid and taken back: value in = value out + value held, numbers run on
without a gap, and what was taken back leaves no trace."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings, strategies as st
from hypothesis.extra.django import TestCase

from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.models import Expense, Job, Payment, Sale, SaleLine
from costing.report.audit import selectors as audit
from costing.report.valuation import selectors as stock_value
from costing.report.year.profit import selectors as results
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.payments import selectors as money, services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import selectors as papers
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.models import Article, Material, Move, Skin
from inventory.places.moves import services as moves
from tests import factories as make
from tests.factories import DAY
from tests.properties import few

pytestmark = pytest.mark.thorough
TAGS = ("H01", "H02", "H03")
RATES = (("25.5", ""), ("14", ""), ("0", "export"))


@dataclass(frozen=True)
class Event:
    """`pick` chooses among what is there, `cents` are money, `how` a way of doing it; `early`: entered for an earlier day."""

    kind: str
    early: int
    pick: int
    cents: int
    how: int


KINDS = (
    *("finish", "finish", "sell", "sell", "sell", "credit", "credit", "cut", "give", "move", "lose", "scrap", "late"),
    *("deposit", "deposit", "bill", "pay", "refund", "give up", "give up", "go on", "fee"),
    *("take back pay", "take back fee", "take back move"),
)

EVENT = st.builds(
    Event,
    kind=st.sampled_from(KINDS),
    early=st.sampled_from([0, 0, 0, 0, 0, 9]),
    pick=st.integers(0, 30),
    cents=st.sampled_from([0, 1, 33, 99, 1250, 3333, 9999, 12_345, 20_000]),
    how=st.integers(0, 7),
)


def one(rows: Any, event: Event) -> Any:
    """One of the rows that are there; nothing to do without any."""
    found = list(rows.order_by("pk"))
    if not found:
        raise Refused("Nothing is there.")
    return found[event.pick % len(found)]


def registered() -> bool:
    return bool(papers.terms().tax_number)


def priced(thing: Any, event: Event, nth: int = 0) -> Item:
    rate, relief = RATES[(event.how + nth) % len(RATES)]
    taxed = {"tax_percent": Decimal(rate), "relief": relief} if registered() else {}
    asked = Decimal(event.cents + 7 * nth) / 100
    if thing == "wax":
        return Item("other", asked, words="wax", quantity=Decimal(3), **taxed)
    discount = Decimal(min(event.cents, 199)) / 100 if event.how == 1 else Decimal(0)
    return make.item(thing, asked, discount=discount, **taxed)


def finish(event: Event, on: date) -> object:
    skin = one(Skin.objects.exclude(stage__in=("finished", "lost")), event)
    cut = [make.piece(f"{skin.tag}-{nth}", f"1/{1 + event.how % 3}") for nth in range(1 + event.how % 3)]
    return make.finish(skin.tag, on=on, pieces=cut)


def sell(event: Event, on: date) -> Sale:
    here = list(Article.objects.filter(gone_on=None, customers=False).order_by("pk"))
    first = event.pick % len(here) if here else 0
    things = [*here[first : first + 1 + event.how % 2], *(["wax"] if event.how > 3 else [])]
    paid = {0: [Paid()], 1: [], 2: [Paid(Decimal(1))]}[event.how % 3]
    box = ledger.Draw(Material.objects.get(code="BOX"), Decimal(1)) if event.how > 5 else None
    spent = [Cost("fee", Decimal("0.55"), withheld=event.how % 2 == 0)] if event.how in (2, 5) else []
    return make.sale(
        *(priced(thing, event, nth) for nth, thing in enumerate(things)),
        on=on,
        customer=make.customer(),
        box=box,
        paid=paid,
        spent=spent,
    )


def credit(event: Event, on: date) -> Sale:
    sale = one(Sale.objects.exclude(kind="credit"), event)
    rows = list(sale.lines.filter(standing=True).order_by("position"))
    chosen = {"lines": [rows[event.how % len(rows)]]} if event.how > 3 and rows else {}
    refund = Paid() if event.how % 2 else None
    return credits.credit(sale=sale, on=on, reason="back", refund=refund, **chosen)


def cut(event: Event, on: date) -> Sale:
    row = one(SaleLine.objects.filter(standing=True), event)
    off = row.gross if event.how == 0 else Decimal(event.cents % 500) / 100
    return credits.credit(sale=row.sale, on=on, reason="scratch", amounts={row.pk: off})


def bill(event: Event, on: date) -> Sale:
    job = one(Job.objects.all(), event)
    paid = [Paid()] if event.how % 2 else []
    return make.sale(priced(job, event), on=on, customer=job.customer, paid=paid)


def refund(event: Event, on: date) -> Payment:
    """What is owed back on a sale or held for a job, now and then a coin more."""
    of = one(Sale.objects, event) if event.how % 2 else None
    job = one(Job.objects, event) if of is None else None
    owed = money.owed_back(of, on) if of is not None else money.least_held(job, on) if job is not None else Decimal(0)
    return payments.refund(amount=owed + Decimal(event.how // 6), on=on, sale=of, job=job)


def give_up(event: Event, on: date) -> Job:
    kept = Decimal(event.cents % 5000) / 100 if event.how % 2 else Decimal(0)
    paper = "invoice" if event.how < 4 else "sale"
    back = Paid() if event.how != 3 else None
    return cancellations.cancel(
        job=one(Job.objects, event), on=on, reason="undone", kept=kept, paper=paper, refund=back
    )


ACTS: dict[str, Callable[[Event, date], object]] = {
    "finish": finish,
    "sell": sell,
    "credit": credit,
    "cut": cut,
    "bill": bill,
    "give": lambda event, on: moves.out(
        article=one(Article.objects.filter(customers=False), event), on=on, why=moves.BY_HAND[event.how % 3]
    ),
    "move": lambda event, on: moves.move(thing=one(Article.objects, event), to=make.place("Van", "van"), on=on),
    "lose": lambda event, on: losses.lose(skin=one(Skin.objects, event), on=on, reason="slipped"),
    "scrap": lambda event, on: make.sale(
        priced(one(Skin.objects.filter(stage="lost"), event), event), on=on, customer=make.customer()
    ),
    "late": lambda event, on: make.put(
        None, Material.objects.get(code="SALT"), "0.01", on, tags=[one(Skin.objects, event).tag]
    ),
    "deposit": lambda event, on: payments.receive(
        amount=Decimal(event.cents) / 1000 // 1, on=on, job=one(Job.objects, event)
    ),
    "refund": refund,
    "give up": give_up,
    "go on": lambda event, on: cancellations.reopen(job=one(Job.objects, event)),
    "pay": lambda event, on: payments.receive(
        amount=Decimal(event.cents % 900) / 100, on=on, sale=one(Sale.objects, event)
    ),
    "fee": lambda event, on: expenses.spend(
        kind="fee",
        amount=Decimal(1 + event.cents % 90) / 100,
        on=on,
        sale=one(Sale.objects, event),
        withheld=event.how % 2 == 0,
    ),
    "take back pay": lambda event, on: payments.reverse(payment=one(Payment.objects, event)),
    "take back fee": lambda event, on: expenses.reverse(expense=one(Expense.objects, event)),
    "take back move": lambda event, on: moves.reverse(move=one(Move.objects, event)),
}


def begin(tax: str) -> None:
    """Five skins, two a customer's with their jobs, worked and paid for; a box to pack with; two sales to go on from."""
    workshop.set_up(name="Utuharju Hides", maker="K. Person", postal_address="Lane 1")
    if tax:
        make.registered(prices_with_tax=tax == "with")
    make.material("SALT", on_hand=2, value="7.01")
    make.material("BOX", "piece", on_hand=7, value="7.00")
    for nth, tag in enumerate(TAGS):
        make.skin(tag, price=f"{7 + nth}.33")
    make.job("J-01", price=90, finished=False)
    make.job("J-02", price=70, finished=False)
    tags = [*TAGS, "H-J-01", "H-J-02"]
    labour.log(on=DAY, task="soften", minutes=Decimal(50), tags=tags, paid=Decimal("10.00"))
    payments.receive(amount=Decimal("28.00"), on=DAY, job=Job.objects.get(number="J-02"))
    for nth in (0, 1):
        make.finish(TAGS[nth], pieces=[make.piece(f"A{nth}", "1/3"), make.piece(f"B{nth}", "2/3")])
    sell(Event("sell", 0, 0, 9999, 5), DAY)
    sell(Event("sell", 0, 2, 1250, 4), DAY)
    make.finish("H-J-01")


def play(run: list[Event]) -> None:
    for nth, event in enumerate(run):
        with suppress(Refused):
            ACTS[event.kind](event, DAY + timedelta(days=max(0, nth - event.early)))


def numbered(rows: Any) -> bool:
    found = sorted(rows.values_list("sequence", flat=True))
    return found == list(range(1, len(found) + 1))


def totals() -> dict[str, Any]:
    """Every total that a year, a stock sheet or a list of debts shows."""
    year, held = results.year(2025), stock_value.at(DAY + timedelta(days=40))
    owed = [(row.sale.number, row.balance.left, row.balance.overpaid) for row in money.open_sales(date(2025, 12, 31))]
    told = (
        "turnover",
        "tax",
        "received",
        "stock",
        "gone",
        "selling",
        "stock_profit",
        "cash_profit",
        "deposits",
        "owed",
    )
    return {
        **{name: getattr(year, name) for name in told},
        "held": (held.consumables, held.raw_skins, held.in_work, held.finished, held.gone),
        "owed by": owed,
        "here": sorted(Article.objects.filter(gone_on=None).values_list("number", flat=True)),
    }


@pytest.mark.slow
class SellingRules(TestCase):
    @given(st.lists(EVENT, min_size=5, max_size=16), st.sampled_from(["", "with", "without"]))
    @settings(max_examples=few(5))
    def test_nothing_is_lost_between_shelf_and_buyer_and_no_number_is_skipped(self, run: list[Event], tax: str) -> None:
        begin(tax)
        play(run)
        year = results.year(2025)
        assert year.unaccounted == 0
        assert year.bridge.miss == 0
        assert all(numbered(Sale.objects.filter(kind=kind)) for kind in ("sale", "invoice", "credit"))
        assert numbered(Payment.objects)
        assert audit.findings() == []

    @given(st.lists(EVENT, max_size=10), EVENT, st.sampled_from(["", "with", "without"]))
    @settings(max_examples=few(5))
    def test_what_is_taken_back_leaves_no_trace(self, run: list[Event], event: Event, tax: str) -> None:
        begin(tax)
        play(run)
        before, on = totals(), DAY + timedelta(days=17)
        there: dict[str, Any] = dict.fromkeys(("sold", "given", "paid"))
        with suppress(Refused):
            there["sold"] = make.sale(
                priced(one(Article.objects.filter(gone_on=None, customers=False), event), event),
                priced("wax", event, 1),
                on=on,
                customer=make.customer(),
                paid=[Paid()],
            )
            for row in there["sold"].lines.all():
                credits.credit(sale=there["sold"], on=on, reason="back", lines=[row], refund=Paid())
        with suppress(Refused):
            there["given"] = ACTS["give"](event, on)
            moves.reverse(move=there["given"])
        with suppress(Refused):
            there["paid"] = ACTS["pay"](event, on)
            payments.reverse(payment=there["paid"])
        with suppress(Refused):
            expenses.reverse(expense=ACTS["fee"](event, on))
        assert totals() == before
        assert audit.findings() == []
