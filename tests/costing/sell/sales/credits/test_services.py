"""Credits: the only way to change an issued paper, never more than is left of it, to the last coin of its tax."""

from __future__ import annotations

from decimal import Decimal
from importlib import import_module
from typing import Any

import pytest
from django.db import IntegrityError, transaction

from costing.make.cost.rates import services as rates
from costing.make.errors import NotAbove
from costing.make.losses import services as losses
from costing.models import Payment, Sale, SaleLine, Series
from costing.report.audit import selectors as audit
from costing.sell.expenses.services import Cost
from costing.sell.payments import selectors as money, services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales.credits import services as credits
from costing.sell.sales.invoices import selectors as invoices_selectors
from costing.sell.sales.offers.services import Item
from costing.sell.sales.tax import rules as tax
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused
from inventory.models import Article, Place, Skin
from inventory.places.moves import services as moves
from tests import factories as make
from tests.factories import DAY, days_from, item

pytestmark = pytest.mark.django_db
D = Decimal
day = days_from(DAY)


def credit(sale: Sale, *positions: int, off: str | int | None = None, nth: int = 1, **options: Any) -> Sale:
    """Whole lines by position, or `off` the one that is named; all that is left without any."""
    rows = [sale.lines.get(position=position) for position in positions]
    given: dict[str, Any] = {"lines": rows} if rows else {}
    if off is not None:
        given = {"amounts": {rows[0].pk: D(off)}}
    return credits.credit(**{"sale": sale, "on": day(nth), "reason": "sent back", **given, **options})


def wax(asked: str | int, words: str = "wax", **details: Any) -> Item:
    return Item("other", D(asked), words=words, **details)


def adds_up(paper: Sale) -> bool:
    rows = list(paper.lines.all())
    return all(
        sum((getattr(row, name) for row in rows), D(0)) == getattr(paper, name) for name in ("net", "tax", "gross")
    )


def nothing_left(sale: Sale) -> bool:
    """Paper and credits come to nothing in every figure, whole and by rate."""
    rest = tax.rest(
        invoices_selectors.summary(sale), [invoices_selectors.summary(row) for row in sale.credited_by.all()]
    )
    return not any([rest.net, rest.tax, rest.gross, *(x for r in rest.rates for x in (r.taxable, r.tax, r.gross))])


def test_a_piece_that_comes_back_is_stock_again_at_its_own_book_cost() -> None:
    rug, shelf = make.article(price=12), make.place("Shelf")
    sale = make.sale(item(rug, 34), item(None, "5.90"), customer=make.customer(), paid=[Paid()])
    note = credit(sale, back_to=shelf, refund=Paid(how="bank"))
    rug.refresh_from_db()
    assert (rug.gone_on, rug.place, rug.book_cost) == (None, shelf, 12)
    assert (note.number, note.gross, note.reason, note.credits) == ("CN-001", D("-39.90"), "sent back", sale)
    assert (note.seller, note.buyer, note.currency) == (sale.seller, sale.buyer, sale.currency)
    assert [(row.quantity, row.gross, row.book) for row in note.lines.all()] == [(-1, -34, -12), (-1, D("-5.90"), 0)]
    assert Payment.objects.latest("pk").amount == D("-39.90")
    assert (money.balance(sale, day(1)).left, money.balance(sale, day(1)).overpaid) == (0, 0)
    assert not sale.lines.filter(standing=True).exists()
    assert make.sale(rug, on=day(2)).number == "S-001"


def test_a_credited_piece_brings_back_its_full_cost_and_its_minutes_and_a_cut_neither() -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    make.skin("H01")
    make.work(minutes=90, tags=["H01"])
    sale = make.sale(make.finish("H01")[0], None, customer=make.customer())
    assert [(row.full, row.own_minutes) for row in sale.lines.all()] == [(42, 90), (0, 0)]
    cut = credit(sale, 1, off=10).lines.get()
    assert (cut.position, cut.book, cut.full, cut.own_minutes) == (1, 0, 0, 0)
    note = credit(sale, nth=2)
    assert [(row.position, row.book, row.full, row.own_minutes) for row in note.lines.all()] == [
        (1, -12, -42, -90),
        (2, 0, 0, 0),
    ]


def test_a_price_cut_leaves_the_piece_sold_with_its_cost() -> None:
    rug = make.article()
    sale = make.sale(rug, customer=make.customer())
    note = credit(sale, 1, off="9.99")
    line = note.lines.get()
    assert (line.words, line.gross, line.book, line.article) == ("Price cut: A1 rug, Sheep", D("-9.99"), 0, rug)
    assert sale.lines.get().standing
    assert Article.objects.get().gone_why == "sold"
    assert money.balance(sale, day(1)).left == D("90.01")


def test_after_a_price_cut_the_rest_is_credited_and_no_more() -> None:
    sale = make.sale(item(make.article("A1"), 100, discount=D(10)), wax(50))
    credit(sale, 1, off=20)
    note = credit(sale, 1, nth=2)
    assert (note.gross, note.lines.get().gross, note.lines.get().discount) == (-70, -70, -30)
    last = credit(sale, nth=3)
    assert last.gross == -50
    assert adds_up(note)
    assert nothing_left(sale)


def test_of_lines_that_are_alike_each_is_credited_once() -> None:
    sale = make.sale(wax(10), wax(10), wax(10))
    credit(sale, 2, off=3)
    credit(sale, 2)
    assert list(invoices_selectors.uncredited(sale).values()) == [10, 10]
    assert credit(sale).gross == -20
    assert nothing_left(sale)


def test_of_lines_in_the_same_words_a_cut_comes_off_the_one_it_is_for() -> None:
    sale = make.sale(wax(10), wax(20))
    note = credit(sale, 2, off=8)
    assert [row.of_line for row in note.lines.all()] == [sale.lines.get(position=2)]
    assert list(invoices_selectors.uncredited(sale).values()) == [10, 12]
    assert credit(sale, 1, off=5).gross == -5
    with pytest.raises(Refused, match=r"12\.50 is more than the 12\.00"):
        credit(sale, 2, off="12.50")
    assert credit(sale).gross == -17
    assert nothing_left(sale)


def test_every_line_of_a_credit_names_the_line_it_takes_back() -> None:
    sale = make.sale(wax(10, "oil"), wax(20))
    credit(sale, 1, off=1)
    credit(sale)
    named = [(row.position, row.of_line.words) for row in SaleLine.objects.filter(sale__kind="credit").order_by("pk")]
    assert named == [(1, "oil"), (1, "oil"), (2, "wax")]
    back = SaleLine.objects.filter(sale__kind="credit").order_by("pk").last()
    for change in ({"of_line": None}, {"quantity": 1}):
        with pytest.raises(IntegrityError, match="sale_line_credit_names_its_line"), transaction.atomic():
            SaleLine.objects.filter(pk=back.pk).update(**change)


def test_credits_of_before_find_their_lines_as_they_were_read_then() -> None:
    sale = make.sale(item(make.article("A1"), 100), wax(10), wax(10), wax(30, "w" * 200))
    for position, off in ((1, 20), (3, 3), (3, None), (2, None), (4, 2), (4, None)):
        credit(sale, position, off=off)
    written = list(SaleLine.objects.filter(sale__kind="credit").order_by("pk"))
    lines_of = import_module("costing.migrations.0007_credit_lines_name_their_line").lines_of
    found = lines_of(list(sale.lines.order_by("position")), written)
    # Of two lines alike in every word and figure, a cut was taken off the earlier one.
    assert [found[row.pk].position for row in written] == [1, 2, 2, 3, 4, 4]


def test_a_credit_larger_than_its_line_or_invoice_is_refused() -> None:
    sale = make.sale(item(make.article("A1"), 100), wax(50))
    with pytest.raises(Refused, match=r"A credit of 50\.01 is more than the 50\.00.*that is left of S-001"):
        credit(sale, 2, off="50.01")
    credit(sale, 2, off=50)
    with pytest.raises(Refused, match="credit at most that"):
        credit(sale, 2, off="0.01")
    assert Sale.objects.filter(kind="credit").count() == 1


def test_what_is_credited_is_not_credited_again() -> None:
    sale = make.sale(item(make.article("A1"), 100), wax(50))
    credit(sale, 1)
    with pytest.raises(Refused, match=r"“A1 rug, Sheep” on S-001 is credited already. Leave it out"):
        credit(sale, 1)
    credit(sale)
    with pytest.raises(Refused, match="Nothing is left to credit on S-001"):
        credit(sale)


def test_a_line_of_another_paper_is_refused() -> None:
    one, two = make.sale(wax(10)), make.sale(wax(10))
    for wrong in ({"lines": [two.lines.get()]}, {"amounts": {two.lines.get().pk: D(1)}}):
        with pytest.raises(Refused, match="not of S-001"):
            credits.credit(sale=one, on=DAY, reason="x", **wrong)
    assert two.lines.get().standing


def test_a_stale_line_does_not_go_twice() -> None:
    sale = make.sale(wax(10), wax(20))
    stale = list(sale.lines.all())
    credit(sale, 1)
    with pytest.raises(Refused, match="is credited already"):
        credits.credit(sale=sale, on=DAY, reason="x", lines=stale)


def test_whole_lines_and_cuts_are_two_credits() -> None:
    sale = make.sale(wax(10), wax(20))
    first, second = sale.lines.all()
    with pytest.raises(Refused, match="not both"):
        credits.credit(sale=sale, on=DAY, reason="x", lines=[first], amounts={second.pk: D(1)})


@pytest.mark.parametrize(
    ("options", "match"),
    [
        ({"reason": " "}, "The reason is missing"),
        ({"nth": -1}, f"S-001 is of {DAY}; it cannot be credited on"),
        ({"off": 0}, "more than nothing"),
        ({"off": "0.001"}, "decimals"),
        ({"off": -1}, "negative"),
        ({"lines": []}, "no line was chosen"),
        ({"nth": 999999}, "too far in the future"),
        ({"refund": Paid(D(1))}, "was paid 0.00"),
        ({"refund": Paid(D(1), "gold")}, "is not a way to pay"),
    ],
)
def test_a_credit_that_cannot_be_writes_nothing(options: dict[str, Any], match: str) -> None:
    sale = make.sale(item(make.article(), 10))
    with pytest.raises(Refused, match=match):
        credit(sale, *([1] if "off" in options else []), **options)
    assert (Sale.objects.count(), SaleLine.objects.count(), Payment.objects.count()) == (1, 1, 0)
    assert not Series.objects.filter(kind="credit", last__gt=0).exists()
    assert Article.objects.get().gone_why == "sold"


def test_a_credit_note_is_not_credited() -> None:
    note = credit(make.sale(wax(10)))
    with pytest.raises(Refused, match="Write a new sale instead"):
        credit(note)


def test_a_piece_given_for_nothing_can_come_back() -> None:
    rug = make.article()
    note = credit(make.sale(item(rug, 100, discount=D(100))))
    assert (note.gross, Article.objects.get().gone_on) == (0, None)


def test_a_piece_cut_to_nothing_can_come_back() -> None:
    rug = make.article()
    sale = make.sale(rug)
    credit(sale, 1, off=100)
    assert credit(sale, 1).gross == 0
    assert nothing_left(sale)
    with pytest.raises(NotAbove):  # a credit of nothing that brings nothing back is none
        tax.line_amount(tax.PaperLine("x", D(0), D(0)), 2)


def test_a_job_that_is_credited_is_not_handed_over_and_its_deposit_is_owed_again() -> None:
    job = make.job("J-01", price=165)
    payments.receive(amount=D(66), on=DAY, job=job)
    bill = make.sale(item(job, 165), customer=make.customer(), on=day(1), paid=[Paid()])
    credit(bill, nth=2, back_to=make.place("Shelf"), refund=Paid())
    job.refresh_from_db()
    assert job.handed_over_on is None
    piece = Article.objects.get(number="A-J-01")
    assert (piece.gone_on, str(piece.place)) == (None, "Shelf")
    assert [money.deposits_held(day(nth)) for nth in (0, 1, 2)] == [66, 0, 66]
    assert Payment.objects.latest("pk").amount == -99
    again = make.sale(item(job, 150), customer=make.customer(), on=day(3))
    assert money.balance(again, day(3)).left == 84


def test_scrap_that_comes_back_may_be_sold_again() -> None:
    losses.lose(skin=make.skin("H05"), on=DAY, reason="slipped")
    skin = Skin.objects.get()
    sale = make.sale(item(skin, 10))
    credit(sale)
    assert make.sale(item(skin, 8), on=day(1)).gross == 8


def test_a_piece_comes_back_no_earlier_than_it_left() -> None:
    rug = make.article()
    moves.move(thing=rug, to=make.place("Van", Place.Kind.VAN), on=DAY)
    sale = make.sale(rug, on=day(4))
    with pytest.raises(Refused, match=f"S-001 is of {day(4)}"):
        credit(sale, nth=3)


ONE_RATE = ["0.99", "0.99", "0.99"]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("with_tax", [True, False])
@pytest.mark.parametrize("prices", [ONE_RATE, ["0.03", "0.07", "12.53", "99.99"], ["33.33", "0.01", "5.55"]])
def test_line_by_line_the_last_credit_takes_the_last_coin(prices: list[str], with_tax: bool) -> None:
    make.registered(prices_with_tax=with_tax)
    sale = make.sale(*(wax(price, f"w{nth}", tax_percent=D("25.5")) for nth, price in enumerate(prices)))
    for position in range(1, len(prices) + 1):
        assert adds_up(credit(sale, position))
    assert nothing_left(sale)
    assert audit.findings() == []


def test_the_last_coin_of_each_rate_goes_with_its_last_line() -> None:
    make.registered(prices_with_tax=False)
    rates = ["25.5", "14", "25.5", "14"]
    sale = make.sale(*(wax("0.99", f"w{nth}", tax_percent=D(rate)) for nth, rate in enumerate(rates)))
    # By itself each line of 14 % has a tax of 0.14, both together 0.28 of 1.98: 0.2772.
    for position in (1, 2, 3, 4):
        assert adds_up(credit(sale, position))
    assert nothing_left(sale)


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("with_tax", [True, False])
def test_amounts_and_lines_in_turn_come_to_nothing(with_tax: bool) -> None:
    make.registered(prices_with_tax=with_tax)
    sale = make.sale(
        wax("19.99", "a", tax_percent=D("25.5")),
        wax("7.77", "b", tax_percent=D(14), quantity=D(3), discount=D(1)),
        wax("5.00", "c", tax_percent=D(0), relief="book"),
        customer=make.customer(),
    )
    notes = [credit(sale, 1, off="3.33"), credit(sale, 2, off="0.01"), credit(sale, 3), credit(sale, 1), credit(sale)]
    assert all(adds_up(note) for note in notes)
    assert nothing_left(sale)
    assert audit.findings() == []


def test_cut_to_the_last_coin_no_tax_is_left() -> None:
    make.registered()
    sale = make.sale(wax("10.00", tax_percent=D("25.5")))
    for off in ("3.33", "3.33", "3.34"):
        credit(sale, 1, off=off)
    assert nothing_left(sale)


def test_a_credit_keeps_the_tax_mode_and_terms_of_its_sale() -> None:
    sale = make.sale(wax(100), customer=make.customer())
    make.registered(prices_with_tax=False)
    note = credit(sale)
    assert (note.taxed, note.tax, note.prices_with_tax) == (False, 0, sale.prices_with_tax)


def test_a_summary_is_read_from_what_the_paper_says() -> None:
    make.registered()
    sale = make.sale(*(wax(price, f"w{price}", tax_percent=D("25.5")) for price in ("0.99", "1.99")))
    for paper in (sale, credit(sale, 1), credit(sale, 2)):
        paper.refresh_from_db()
        told = invoices_selectors.summary(paper)
        assert (told.net, told.tax, told.gross) == (paper.net, paper.tax, paper.gross)
        assert sum((rate.tax for rate in told.rates), D(0)) == paper.tax


def test_no_more_is_paid_back_than_was_paid() -> None:
    sale = make.sale(item(make.article(), 100), paid=[Paid(D(60))])
    with pytest.raises(Refused, match=r"was paid 60\.00.*Pay back at most that"):
        credit(sale, refund=Paid(D(61)))
    assert credit(sale, refund=Paid(D(60)))


def test_no_more_is_paid_back_than_was_paid_too_much() -> None:
    sale = make.sale(item(make.article(), 100), paid=[Paid()])
    with pytest.raises(Refused, match=r"10\.00 was paid too much on S-001; 50\.00 is more. Credit the sale first"):
        credit(sale, 1, off=10, refund=Paid(D(50)))
    credit(sale, 1, off=10, refund=Paid())
    assert money.balance(sale, day(1)).overpaid == 0


def test_money_paid_back_later_is_not_paid_back_before() -> None:
    sale = make.sale(wax(100), wax(100, "balm"), paid=[Paid()])
    credit(sale, 1, nth=9, refund=Paid(D(100)))
    credit(sale, 2, nth=1, refund=Paid(D(100)))
    with pytest.raises(Refused, match=r"was paid 0\.00"):
        payments.refund(sale=sale, amount=D(1), on=day(1))


def test_what_was_withheld_is_not_paid_back() -> None:
    sale = make.sale(
        make.article(), asked=140, customer=make.customer(), spent=[Cost("fee", D(49), withheld=True)], paid=[Paid()]
    )
    credit(sale, refund=Paid())
    assert Payment.objects.latest("pk").amount == -91


def test_unpaid_is_nothing_paid_back() -> None:
    credit(make.sale(wax(10)), refund=Paid())
    assert not Payment.objects.exists()


def test_nothing_is_credited_in_closed_books_but_later() -> None:
    sale = make.sale(make.article())
    workshop.close_books(to=day(3))
    with pytest.raises(ClosedPeriod, match="Use a later date"):
        credit(sale, nth=3)
    assert credit(sale, nth=4).gross == -100


@pytest.mark.parametrize("role", ["helper", "bookkeeper"])
def test_who_does_not_set_prices_credits_nothing(role: str) -> None:
    with pytest.raises(NotAllowed):
        credit(make.sale(wax(10)), by=make.person(role))


def test_one_key_credits_once() -> None:
    sale = make.sale(wax(10), wax(20), paid=[Paid()])
    first = credit(sale, 1, request_key="k", refund=Paid(D(10)))
    assert credit(sale, 1, request_key="k", refund=Paid(D(10))) == first
    assert Payment.objects.count() == 2


def test_numbers_of_credits_run_on_their_own() -> None:
    assert [credit(make.sale(wax(10))).number for _ in range(3)] == ["CN-001", "CN-002", "CN-003"]
