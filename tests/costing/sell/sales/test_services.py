"""Selling: one transaction writes the paper and lets the piece go; what cannot be sold is refused with a way out, unwritten."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal
from importlib import import_module
from typing import Any

import pytest
from django.db import transaction

import costing
from costing.make.cost.rates import services as rates
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.models import ArticleCost, Expense, Payment, Sale, SaleLine, Series
from costing.sell.customers import services as customers_services
from costing.sell.expenses import services as expenses
from costing.sell.expenses.services import Cost
from costing.sell.jobs import services as jobs_services
from costing.sell.payments import selectors as money, services as payments
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels import services as channels
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.invoices import selectors as papers
from costing.sell.sales.numbering import services as series
from costing.sell.sales.offers.services import Item
from inventory.base.accounting import services as workshop
from inventory.errors import ClosedPeriod, NotAllowed, Refused, ShortStock
from inventory.ledger import services as ledger
from inventory.models import Article, Kind, Move, Place, Posting, Skin
from inventory.places.moves import services as moves
from tests import factories as make
from tests.costing.report import figures
from tests.factories import DAY, days_from, item

pytestmark = pytest.mark.django_db
D = Decimal
Act = Callable[[], object]
day = days_from(DAY)


def refused(act: Act, match: str, field: str | None = None) -> Refused:
    """The refusal, with proof that it left nothing: no paper, no number, no money, no move."""

    def written() -> list[Any]:
        counts = [model.objects.count() for model in (Sale, SaleLine, Payment, Expense, Move, Posting)]
        gone = list(Article.objects.exclude(gone_why="").values_list("number", flat=True))
        return [*counts, gone, sorted(Series.objects.values_list("kind", "last"))]

    before = written()
    with pytest.raises(Refused, match=match) as refusal, transaction.atomic():
        act()
    assert written() == before
    if field:
        assert refusal.value.field == field
    return refusal.value


def lines(sale: Sale) -> list[tuple[str, str, str]]:
    return [(str(row.net), str(row.tax), str(row.gross)) for row in sale.lines.order_by("position")]


def totals(sale: Sale) -> tuple[Decimal, Decimal, Decimal]:
    return sale.net, sale.tax, sale.gross


def test_a_sale_freezes_the_piece_with_its_cost_and_lets_it_go() -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
    make.skin("H01")
    labour.log(on=DAY, task="soften", minutes=D(90), tags=["H01"])
    rug = make.finish("H01", pieces=[make.piece("A1")])[0]
    sale = make.sale(item(rug, 185, discount=D(15)), on=day(2))
    line = sale.lines.get()
    cost = ArticleCost.objects.get(article=rug)
    assert (sale.number, sale.sequence, sale.on, sale.issued_on) == ("S-001", 1, day(2), day(2))
    assert totals(sale) == (170, 0, 170)
    assert (line.words, line.asked, line.discount) == ("A1 rug, Sheep", 185, 15)
    assert (line.book, line.full, line.own_minutes) == (12, cost.full, 90)
    assert cost.full == 12 + D("1.5") * 20
    rug.refresh_from_db()
    assert (rug.gone_on, rug.gone_why) == (day(2), "sold")
    assert rug.moves.get().note == "S-001"


def test_a_paper_keeps_seller_buyer_and_terms_as_they_were() -> None:
    ann = make.customer("Ann Hill", tax_number="FI1")
    bill = make.sale(make.article(), customer=ann, issued_on=day(1))
    frozen = (bill.seller, bill.buyer, bill.due_on)
    assert (bill.number, bill.buyer["name"], bill.seller["address"]) == ("INV-001", "Ann Hill", "Lane 1, Utuharju")
    assert bill.due_on == day(15)
    workshop.set_up(name="Elsewhere", maker="Other", postal_address="Road 2")
    customers_services.write(customer=ann, name="Ann Fell", postal_address="Road 3")
    make.registered(payment_days=3)
    bill.refresh_from_db()
    assert (bill.seller, bill.buyer, bill.due_on) == frozen
    assert not bill.taxed


def test_money_costs_and_packing_come_in_the_same_breath() -> None:
    box = make.material("BOX", "piece", on_hand=3, value="3.30")
    online = channels.save(name="Online", fee_percent=D("6.5"), fixed_cost=D(0))
    sale = make.sale(
        item(make.article(), 185),
        item(None, "12.90"),
        customer=make.customer(),
        channel=online,
        box=ledger.Draw(box, D(1)),
        paid=[Paid(how="bank")],
        spent=[Cost("fee"), Cost("postage", D("11.40"), "parcel")],
    )
    assert sale.gross == D("197.90")
    assert [(row.kind, row.amount) for row in sale.expenses.order_by("pk")] == [
        ("fee", D("12.86")),
        ("postage", D("11.40")),
    ]
    assert [(row.number, row.amount, row.how) for row in sale.payments.all()] == [("R-001", D("197.90"), "bank")]
    assert sale.packing is not None
    assert (sale.packing.kind, sale.packing.movements.get().value) == (Kind.SOLD, D("-1.10"))
    assert money.balance(sale, DAY).left == 0


def test_a_channel_that_keeps_nothing_costs_nothing_and_a_paid_sale_takes_no_more() -> None:
    sale = make.sale(make.article(), spent=[Cost("fee")], paid=[Paid(), Paid()])
    assert (sale.expenses.count(), sale.payments.count()) == (0, 1)


def test_a_withheld_fee_counts_as_paid() -> None:
    sale = make.sale(make.article(), asked=140, customer=make.customer(), spent=[Cost("fee", D(49), withheld=True)])
    assert money.balance(sale, DAY).left == 91


def test_a_job_is_billed_once_hands_the_skin_over_and_takes_its_deposit() -> None:
    job = make.job("J-01", price=165)
    payments.receive(amount=D(66), on=DAY, job=job)
    bill = make.sale(item(job, 165), customer=make.customer(), on=day(3))
    piece = Article.objects.get(number="A-J-01")
    assert (piece.gone_on, piece.gone_why) == (day(3), "delivered")
    assert money.balance(bill, day(3)).left == 99
    job.refresh_from_db()
    assert job.handed_over_on == day(3)
    refused(
        lambda: make.sale(item(job, 165), customer=make.customer(), on=day(4)),
        f"handed over on {day(3)} and is billed already",
        "job",
    )


def test_a_job_in_two_pieces_is_billed_with_the_cost_of_both() -> None:
    job = make.job("J-01", finished=False)
    labour.log(on=DAY, task="soften", minutes=D(60), tags=["H-J-01"], paid=D("9.00"))
    labour.log(on=DAY, task="soften", minutes=D(30), tags=["H-J-01"])
    make.finish("H-J-01", pieces=[make.piece("P1", "1/3"), make.piece("P2", "2/3")])
    bill = make.sale(job, customer=make.customer())
    assert (bill.lines.get().book, bill.lines.get().own_minutes) == (9, 30)
    assert set(Article.objects.values_list("gone_why", flat=True)) == {"delivered"}
    (told,) = figures.pieces(DAY, DAY)
    assert (told.book, told.hours) == (9, D("0.5")), "results read both as well"


def test_a_spoiled_skin_is_scrap_and_sold_once() -> None:
    skin = make.skin("H05", price=12)
    losses.lose(skin=skin, on=day(1), reason="slipped")
    sale = make.sale(item(skin, 10), on=day(2))
    assert (sale.lines.get().words, sale.lines.get().book) == ("H05 Sheep, spoiled", 12)
    refused(lambda: make.sale(item(skin, 10), on=day(3)), "H05 is sold already", "skin")


def test_a_piece_from_a_gallery_is_sold_through_it() -> None:
    room = make.place("Room", Place.Kind.GALLERY)
    gallery = channels.save(name="Savupirtti", fee_percent=D(35), fixed_cost=D(0))
    make.sells_through(gallery, room)
    rug, other = make.article("A1", place=room), make.article("A2")
    refused(lambda: make.sale(rug), "at Room on sale or return. Sell it through Savupirtti, or move it back", "article")
    refused(lambda: make.sale(other, channel=gallery), "A2 is not at Room.*Move it there first", "article")
    assert make.sale(rug, channel=gallery).channel == gallery


def test_a_gallery_without_a_channel_asks_for_one() -> None:
    rug = make.article(place=make.place("Room", Place.Kind.GALLERY))
    refused(lambda: make.sale(rug), "through the channel that it was sold through, or move it back")
    assert make.sale(rug, channel=channels.save(name="Room", fee_percent=D(35), fixed_cost=D(0)))


def test_what_is_sold_is_not_sold_again() -> None:
    rug = make.article()
    make.sale(rug)
    refused(lambda: make.sale(rug, on=day(1)), f"left on {DAY} .sold by S-001.. Credit that sale first", "article")


@pytest.mark.parametrize("why", ["given", "own_use", "spoiled"])
def test_what_left_otherwise_is_not_sold(why: str) -> None:
    rug = make.article()
    moves.out(article=rug, on=DAY, why=why)
    refused(lambda: make.sale(rug), f"left on {DAY}", "article")


def test_a_customers_piece_is_billed_by_its_job() -> None:
    make.job("J-01")
    theirs = Article.objects.get(number="A-J-01")
    refused(lambda: make.sale(theirs), "is a customer's own. Bill the work on it by its job", "article")


def test_a_sale_is_not_dated_before_the_finish() -> None:
    rug = make.article(on=day(5))
    refused(lambda: make.sale(rug, on=day(4)), f"finished on {day(5)}; it was not there to sell on {day(4)}", "on")


def test_a_sale_is_not_dated_before_the_piece_was_moved_last() -> None:
    rug = make.article()
    moves.move(thing=rug, to=make.place("Van", Place.Kind.VAN), on=day(5))
    refused(lambda: make.sale(rug, on=day(4)), "Choose that day or a later one", "on")


def test_a_skin_still_in_the_tub_is_nothing_to_sell() -> None:
    make.skin("H01")
    tub = make.batch("B1", tags=["H01"], place=make.place("Tub", Place.Kind.TUB))
    make.put(tub, make.material(on_hand=1), "0.1")
    skin = Skin.objects.get(tag="H01")
    refused(lambda: make.sale(skin), "H01 is in work. Only a lost skin is sold as scrap. Finish it, or write", "skin")


def test_work_still_in_the_tub_is_not_billed() -> None:
    job = make.job("J-01", finished=False)
    refused(
        lambda: make.sale(job, customer=make.customer()),
        "is not finished yet. Finish it first; until then money for it is a deposit",
        "job",
    )


def test_work_is_not_billed_before_it_was_finished_nor_to_a_stranger() -> None:
    make.skin("H09", owner="customer", price=0)
    job = jobs_services.take(
        number="J-9", customer=make.customer(), skin=Skin.objects.get(tag="H09"), work="taw", price=D(9), taken_on=DAY
    )
    make.finish("H09", on=day(5))
    refused(lambda: make.sale(job, customer=make.customer("Bea")), "is for Ann Hill; make the paper out to", "customer")
    refused(lambda: make.sale(job, on=day(4), customer=make.customer()), f"was finished on {day(5)}")
    refused(lambda: make.sale(job, on=day(-1), customer=make.customer()), f"was taken on {DAY}", "on")


def test_scrap_is_the_makers_own_lost_skin() -> None:
    skin, theirs = make.skin("H05"), make.skin("H06", owner="customer", price=0)
    losses.lose(skin=theirs, on=DAY, reason="slipped")
    refused(lambda: make.sale(theirs), "is a customer's own and is not yours to sell", "skin")
    losses.lose(skin=skin, on=day(2), reason="slipped")
    refused(lambda: make.sale(skin, on=day(1)), f"was lost on {day(2)}", "on")


def test_one_piece_stands_on_one_line() -> None:
    rug = make.article()
    refused(lambda: make.sale(rug, rug), "A1 is on two lines. A thing is sold once; leave one out", "items")


def test_a_piece_and_a_skin_of_one_name_are_two_things() -> None:
    rug, spoiled = make.article("12"), make.skin("12")
    losses.lose(skin=spoiled, on=DAY, reason="slipped")
    assert make.sale(rug, spoiled).lines.count() == 2


def test_a_tax_rate_above_the_whole_price_is_refused() -> None:
    make.registered()
    refused(lambda: make.sale(item(make.article(), tax_percent=D(101))), "101 % is not believable", "tax_percent")
    assert make.sale(item(make.article("A2"), tax_percent=D(100))).tax == 50


@pytest.mark.thorough(but=1)
@pytest.mark.parametrize("name", ["article", "job", "skin"])
def test_a_line_sells_the_one_thing_that_its_kind_says(name: str) -> None:
    things = {"article": make.article("A1"), "job": make.job("J-01"), "skin": make.skin("H05")}
    losses.lose(skin=things["skin"], on=DAY, reason="slipped")
    other = replace(item(make.article("A2")), **{name: things[name]}) if name != "article" else None
    stray = other or replace(item(things["skin"]), article=things["article"])
    refused(lambda: make.sale(stray, customer=make.customer()), "Give it a line of its own", name)
    postage = replace(item(None), **{name: things[name]})
    refused(lambda: make.sale(postage), "cannot be on a line of kind postage", name)


@pytest.mark.parametrize(
    ("changed", "match", "field"),
    [
        ({"asked": D(-1)}, "The price cannot be negative", "asked"),
        ({"asked": D("1.001")}, "more than 2 decimals. Enter it to the cent", "asked"),
        ({"asked": D("NaN")}, "The price cannot be negative", "asked"),
        ({"asked": D("1e13")}, "larger than any workshop holds", "asked"),
        ({"discount": D(101)}, "iscount", None),
        ({"discount": D(-1)}, "The discount cannot be negative", "discount"),
        ({"quantity": D(2)}, "is one of a kind; its quantity is 1", "quantity"),
        ({"quantity": D(0)}, "must be more than nothing", "quantity"),
        ({"tax_percent": D(24)}, "take the rate off the line", None),
        ({"words": "a\x07"}, "control character", "words"),
        ({"words": "x" * 201}, "longer than 200", "words"),
        ({"kind": "gold"}, "is nothing that is sold; choose one of article", "kind"),
        ({"article": None}, "Name the piece that was sold", "article"),
    ],
)
def test_a_line_that_cannot_be_is_refused(changed: dict[str, Any], match: str, field: str | None) -> None:
    wrong = replace(item(make.article()), **changed)
    refused(lambda: make.sale(wrong), match, field)


@pytest.mark.parametrize(
    ("changed", "match"),
    [
        ({"quantity": D("1.0001")}, "more than 3 decimals"),
        ({"quantity": D("1e12"), "asked": D("1e12")}, "larger than any workshop holds"),
        ({"words": " "}, "Say what was sold"),
    ],
)
def test_something_else_is_named_and_counted_as_it_can_be_kept(changed: dict[str, Any], match: str) -> None:
    wrong = replace(Item("other", D(1), words="wax"), **changed)
    refused(lambda: make.sale(wrong), match)


@pytest.mark.parametrize(
    ("options", "match", "field"),
    [
        ({"items": []}, "Name at least one thing", "items"),
        ({"kind": "credit"}, "paper of a sale or of an invoice", "kind"),
        ({"kind": "invoice"}, "made out to somebody. Choose the customer, or sell over the counter", "customer"),
        ({"on": date(2999, 1, 1)}, "too far in the future", "on"),
        ({"issued_on": date(2999, 1, 1)}, "too far in the future", "issued_on"),
        ({"note": "a\x07"}, "control character", "note"),
        ({"paid": [Paid(D(101))]}, "101.00 is more", "amount"),
        ({"paid": [Paid(D(60)), Paid(D(41))]}, "40.00 is the balance due on S-001; 41.00 is more", "amount"),
        ({"paid": [Paid(D(0))]}, "more than nothing", "amount"),
        ({"paid": [Paid(D(1), "gold")]}, "is not a way to pay; choose one of cash", "how"),
        ({"spent": [Cost("bribe", D(1))]}, "is not a known kind of cost; choose one of fee", "kind"),
        ({"spent": [Cost("fee", D(101), withheld=True)]}, "is more", "amount"),
    ],
)
def test_a_sale_that_cannot_be_writes_nothing(options: dict[str, Any], match: str, field: str) -> None:
    rug = make.article()
    refused(lambda: make.sale(rug, **options), match, field)


def test_a_box_is_on_the_shelf_and_goes_with_one_sale() -> None:
    box = make.material("BOX", "piece", on_hand=2, value=2)
    with pytest.raises(ShortStock, match="Ways out"):
        make.sale(make.article("A1"), box=ledger.Draw(box, D(3)))
    used = make.take(box, 1, kind=Kind.SOLD)
    make.sale(make.article("A2"), box=used)
    rug = make.article("A3")
    refused(lambda: make.sale(rug, box=used), "went with S-001 already", "box")
    spoiled = make.take(box, 1, kind=Kind.SPOILED)
    refused(lambda: make.sale(rug, box=spoiled), "leaves the shelf as sold", "box")
    back = make.take(make.material("BAG", on_hand=1), 1, kind=Kind.SOLD)
    ledger.reverse(posting=back, reason="x")
    refused(lambda: make.sale(rug, box=back), "was reversed; put a box in the sale again", "box")


@pytest.mark.parametrize("field", ["on", "issued_on"])
def test_nothing_is_sold_or_issued_in_closed_books(field: str) -> None:
    rug = make.article()
    workshop.close_books(to=day(3))
    days = {"on": day(9), "issued_on": day(9)} | {field: day(3)}
    with pytest.raises(ClosedPeriod, match=f"closed to {day(3)}.*Use a later date, or reopen them"):
        make.sale(rug, **days)
    assert make.sale(rug, on=day(4)).number == "S-001"


def test_money_of_a_sale_is_not_taken_in_closed_books() -> None:
    rug = make.article()
    workshop.close_books(to=day(3))
    refused(lambda: make.sale(rug, on=day(4), paid=[Paid(D(1), on=day(3))]), "books are closed")


def test_numbers_follow_each_other_and_a_refusal_takes_none() -> None:
    numbers = [make.sale(make.article(f"A{nth}")).number for nth in (1, 2)]
    rug = make.article("A3")
    refused(lambda: make.sale(rug, paid=[Paid(D(999))]), "is more")
    numbers.append(make.sale(rug).number)
    numbers.append(make.sale(make.article("A4"), customer=make.customer()).number)
    assert numbers == ["S-001", "S-002", "S-003", "INV-001"]


def test_a_series_in_use_stays_as_it_is_written() -> None:
    series.change_all(written={"sale": ("K/", 2)})
    make.sale(make.article())
    assert Sale.objects.get().number == "K/01"
    with pytest.raises(Refused, match="K/01 is issued already"):
        series.change_all(written={"sale": ("X-", 3)})


def test_an_invoice_says_all_that_its_law_asks() -> None:
    rug, nowhere = make.article(), make.customer("Bea", postal_address="")
    make.sale(make.article("A2"))
    assert make.sale(rug, customer=nowhere), "who is not registered needs no buyer's address"
    make.registered()
    refused(lambda: make.sale(make.article("A3"), customer=nowhere), "still needs: the buyer's address")


def test_a_workshop_without_an_address_issues_no_paper() -> None:
    with pytest.raises(Refused, match="still needs: your address"):
        selling.sell(on=DAY, items=[item(make.article())])


def test_there_is_no_service_that_edits_or_deletes_an_issued_paper() -> None:
    """The frozen columns of papers are named nowhere in the services but where they are first written."""
    import inspect
    import pkgutil

    touching = []
    for found in pkgutil.walk_packages(costing.__path__, "costing."):
        if not found.name.endswith(".services"):
            continue
        text = inspect.getsource(import_module(found.name))
        for line in text.splitlines():
            if any(word in line for word in ("Sale.objects", "SaleLine.objects", "sale.save", ".lines.")):
                touching.append((found.name, line.strip()))
    edits = [(name, line) for name, line in touching if any(w in line for w in (".update(", ".delete(", "sale.save"))]
    assert touching, "the services were not read"
    assert edits == []


def test_crediting_and_paying_leave_an_issued_paper_as_it_is() -> None:
    """All columns of the paper and its lines stay, but for `standing`, by which the database holds one sale of a piece, and
    `settled_on`, which tells what is left to pay."""
    rug = make.article()
    sale = make.sale(item(rug, 90, discount=D(5)), item(None, 5), customer=make.customer(), paid=[Paid(D(50))])

    def stands() -> list[Any]:
        rows = SaleLine.objects.filter(sale=sale).order_by("position").values()
        paper = {**Sale.objects.values().get(pk=sale.pk), "settled_on": None}
        return [paper, *({**row, "standing": None} for row in rows)]

    before = stands()
    payments.receive(amount=D(10), on=day(1), sale=sale)
    expenses.spend(kind="fee", amount=D(3), on=day(1), sale=sale)
    credits.credit(sale=sale, on=day(1), reason="scratch", amounts={sale.lines.all()[0].pk: D(5)})
    credits.credit(sale=sale, on=day(2), reason="sent back", refund=Paid())
    make.put(None, make.material(on_hand=1, value=9), 1, day(3), tags=["H-A1"])
    assert stands() == before
    assert Article.objects.get(number="A1").book_cost == 21, "what came late is the piece's, not the paper's"


def test_who_is_not_registered_writes_no_tax() -> None:
    sale = make.sale(item(make.article(), "39.90"))
    assert (sale.taxed, *totals(sale)) == (False, D("39.90"), 0, D("39.90"))
    assert papers.summary(sale).tax is None
    with pytest.raises(Refused, match="take the rate off the line"):
        make.sale(item(make.article("A2"), tax_percent=D(24)))


def test_prices_with_tax_keep_what_the_buyer_pays() -> None:
    make.registered()
    sale = make.sale(
        item(make.article(), 185, discount=D(15), tax_percent=D("25.5")),
        Item("other", D("9.99"), words="book", quantity=D(3), tax_percent=D(14)),
    )
    assert lines(sale) == [("135.460", "34.540", "170.000"), ("26.290", "3.680", "29.970")]
    assert totals(sale) == (D("161.75"), D("38.22"), D("199.97"))


def test_prices_without_tax_add_it_once_for_each_rate() -> None:
    make.registered(prices_with_tax=False)
    sale = make.sale(
        item(make.article("A1"), "0.99", tax_percent=D("25.5")),
        item(make.article("A2"), "0.99", tax_percent=D("25.5")),
        item(make.article("A3"), "10.00", tax_percent=D(14)),
    )
    # 25.5 % of 1.98 is 0.5049: 0.50 in all, although each line alone would be 0.25.
    assert lines(sale) == [("0.990", "0.250", "1.240")] * 2 + [("10.000", "1.400", "11.400")]
    assert totals(sale) == (D("11.98"), D("1.90"), D("13.88"))
    assert [(rate.rate, rate.taxable, rate.tax) for rate in papers.summary(sale).rates] == [
        (D("25.5"), D("1.98"), D("0.50")),
        (D(14), D("10.00"), D("1.40")),
    ]


def test_a_rate_of_nought_says_why() -> None:
    make.registered()
    rug = make.article()
    refused(lambda: make.sale(item(rug, tax_percent=D(0)), customer=make.customer()), "why no tax is due at 0 %")
    refused(
        lambda: make.sale(item(rug, tax_percent=D(24), relief="export")),
        "stands beside a rate of 24 %. Take one of them out",
        "relief",
    )
    sale = make.sale(
        item(rug, tax_percent=D(0), relief="export"), item(None, 10, tax_percent=D(24)), customer=make.customer()
    )
    assert [(rate.rate, rate.relief, rate.gross) for rate in papers.summary(sale).rates] == [
        (D(24), "", D("10.00")),
        (D(0), "export", D("100.00")),
    ]


def test_no_rate_named_is_the_usual_one() -> None:
    rates.set_rates(vat_percent=D("25.5"))
    make.registered()
    assert make.sale(item(make.article(), "125.50")).net == 100


@pytest.mark.parametrize(("rate", "match"), [(D(-1), "negative"), (D("9.9999"), "decimals"), (D("NaN"), "negative")])
def test_a_rate_that_cannot_be_is_refused(rate: Decimal, match: str) -> None:
    make.registered()
    with pytest.raises(Refused, match=match):
        make.sale(item(make.article(), tax_percent=rate))


def test_a_short_paper_goes_up_to_the_limit_of_the_maker() -> None:
    make.registered(short_limit=D(100))
    assert make.sale(item(make.article("A1"), 100, tax_percent=D(24)))
    dear = make.article("A2")
    over = item(dear, "100.01", tax_percent=D(24))
    refused(lambda: make.sale(over), "Write an invoice, or set the limit in Setup", "kind")
    assert make.sale(over, customer=make.customer())


@pytest.mark.parametrize(("role", "may"), [("owner", True), ("helper", False), ("bookkeeper", False)])
def test_who_sets_prices_sells(role: str, may: bool) -> None:
    rug, by = make.article(), make.person(role)
    if may:
        assert make.sale(rug, by=by).written_by == by
        return
    with pytest.raises(NotAllowed, match="Ask the owner"):
        make.sale(rug, by=by)


def test_one_key_sells_once() -> None:
    rug, other = make.article("A1"), make.article("A2")
    sale = make.sale(rug, request_key="k", paid=[Paid()])
    assert make.sale(rug, request_key="k", paid=[Paid()]) == sale
    with pytest.raises(Refused, match="sent before for something else"):
        moves.out(article=other, on=DAY, why="given", request_key="k")
    with pytest.raises(Refused, match="sent before for something else"):
        credits.credit(sale=sale, on=DAY, reason="x", request_key="k")
    assert (Sale.objects.count(), Payment.objects.count()) == (1, 1)


def test_a_refused_sale_frees_its_key() -> None:
    rug = make.article()
    refused(lambda: make.sale(rug, request_key="k", paid=[Paid(D(999))]), "is more")
    assert make.sale(rug, request_key="k")
