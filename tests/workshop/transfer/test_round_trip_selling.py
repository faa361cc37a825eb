"""Selling comes back from its files: the same papers under the same numbers, the same money, places and results."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from costing.make.batches import services as batches
from costing.make.batches.issues import services as issues_services
from costing.make.cost.rates import services as rates
from costing.make.finishing import services as articles
from costing.make.labour import services as labour
from costing.make.losses import services as losses
from costing.make.recipes import services as recipes
from costing.models import (
    Channel,
    Customer,
    Expense,
    Fair,
    FairPiece,
    Job,
    Payment,
    Reminder,
    Sale,
    SaleLine,
    Series,
    SideHours,
    Terms,
    WriteOff,
)
from costing.report.year import report as year_report
from costing.sell.customers import services as customers
from costing.sell.debts.reminders import services as reminders
from costing.sell.debts.write_offs import services as write_offs
from costing.sell.expenses import services as expenses
from costing.sell.fairs import services as fairs
from costing.sell.jobs import services as jobs
from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.payments import selectors as money, services as payments
from costing.sell.payments.barter import services as barter
from costing.sell.payments.services import Paid
from costing.sell.pricing.channels import services as channels
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.invoices import selectors as papers
from costing.sell.sales.numbering import services as series
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import services as terms
from inventory.articles.services import Piece
from inventory.base.accounting import services as workshop
from inventory.errors import Refused
from inventory.ledger import services as ledger
from inventory.materials import services as materials
from inventory.models import Article, Kind, Material, Move, Place, Skin
from inventory.places import services as places
from inventory.places.moves import services as moves
from inventory.skins import services as skins
from tests import factories as make
from tests.workshop.transfer.test_round_trip import DEMO, day, passing, texts
from workshop.reports import answers as answers_results
from workshop.transfer.format.columns import FILES
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = [pytest.mark.django_db, pytest.mark.slow, pytest.mark.thorough]
D = Decimal
_HIDDEN = {"id", "written_at", "written_by_id", "reversed_at", "reverser_id"}


def plain(row: Any, *leave: str) -> dict[str, Any]:
    """A row's own columns, without ids: those of another load are others."""
    values = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    return {
        name: value for name, value in values.items() if name not in {*_HIDDEN, *leave} and not name.endswith("_id")
    }


def state() -> dict[str, Any]:
    """All that selling wrote, by names, and what is worked out from it."""
    named = ("customer", "channel", "fair", "credits", "packing", "sale", "job", "article", "skin", "reverses", "to")

    def rows(model: Any, *order: str) -> list[dict[str, Any]]:
        own = [name for name in named if any(field.name == name for field in model._meta.concrete_fields)]
        return [
            plain(row) | {name: str(getattr(row, name) or "") for name in own if name != "packing"}
            for row in model.objects.order_by(*order)
        ]

    return {
        "terms": rows(Terms, "pk"),
        "series": rows(Series, "kind"),
        "jobs": rows(Job, "number"),
        "fairs": rows(Fair, "on", "name"),
        "packed": sorted(FairPiece.objects.values_list("fair__name", "article__number", "back")),
        "sales": rows(Sale, "number"),
        "boxes": sorted(Sale.objects.values_list("number", "packing__on", "packing__reason")),
        "lines": rows(SaleLine, "sale__number", "position"),
        "taken back": sorted(
            SaleLine.objects.filter(sale__kind="credit").values_list(
                "sale__number", "position", "of_line__sale__number", "of_line__position"
            )
        ),
        "payments": rows(Payment, "sequence"),
        "expenses": sorted(map(str, Expense.objects.values_list("on", "kind", "amount", "words", "sale__number"))),
        "write-offs": sorted(map(str, WriteOff.objects.values_list("on", "amount", "reason", "sale__number"))),
        "reminders": list(map(plain, Reminder.objects.filter(reversed_at__isnull=True).order_by("on"))),
        "hours": sorted(map(str, SideHours.objects.values_list("on", "kind", "minutes", "words"))),
        "channels": [plain(row) | {"place": str(row.place or "")} for row in Channel.objects.order_by("name")],
        "customers": rows(Customer, "name"),
        "gone": sorted(Article.objects.values_list("number", "gone_on", "gone_why", "place__name")),
        "skins": sorted(Skin.objects.values_list("tag", "place__name")),
        "materials": sorted(Material.objects.values_list("code", "place__name")),
        "balances": {sale.number: money.balance(sale, day(12, 31)) for sale in money.settled().order_by("number")},
        "results": {number: figures_of(number) for number in (2025, 2026)},
    }


def figures_of(year: int) -> dict[str, Any]:
    """Without the check value: it is that of these books, which go on from where those of the folder ended."""
    told = answers_results.year_shape(year_report.at(year))
    del told["books"]
    return told


def round_trip(make: Callable[[], object], folder: Path) -> tuple[dict[str, Any], dict[str, Any]]:
    """Make a workshop, save it, load that, save again: the files must be the same; answers both states."""
    with passing():
        make()
        before = state()
        save(folder / "A")
    with passing():
        load(folder / "A")
        after = state()
        save(folder / "B")
    assert texts(folder / "A") == texts(folder / "B")
    return before, after


def two_in_the_same_words() -> None:
    workshop.set_up(name="Here", maker="K. Person", postal_address="Lane 1, Here")
    terms.set_terms()
    sale = selling.sell(on=day(2, 1), items=[Item("other", D(price), words="wax") for price in (10, 20)])
    for position, amount in ((2, 8), (1, 5)):
        line = sale.lines.get(position=position)
        credits.credit(sale=sale, on=day(2, 2), reason="late", amounts={line.pk: D(amount)})
    credits.credit(sale=sale, on=day(2, 3), reason="sent back", lines=[sale.lines.get(position=2)])


def test_a_credit_of_one_of_two_lines_in_the_same_words_is_of_that_line_again(tmp_path: Path) -> None:
    before, after = round_trip(two_in_the_same_words, tmp_path)
    assert before == after
    assert [row[3] for row in after["taken back"]] == [2, 1, 2]


def late_payers() -> None:
    """Reminded in every tone, one letter struck; written off, reversed and paid; written off again; a tip and a barter."""
    terms.set_terms(late_interest_percent=D(8), reminder_firm="Pay, please.")
    bill, other = (make.sale(make.item(None, 1000), Item("tip", D(5)), customer=make.customer(name)) for name in "AB")
    for nth, tone in enumerate(("friendly", "firm", "final")):
        last = reminders.remind(sale=bill, on=day(6, 1 + nth), tone=tone)
    reminders.reverse(reminder=last)
    row = write_offs.write_off(sale=bill, amount=D(1005), on=day(7, 1), reason="gone")
    write_offs.reverse(write_off=row, on=day(8, 1))
    payments.receive(sale=bill, amount=D(5), on=day(8, 2))
    write_offs.write_off(sale=bill, amount=D(1000), on=day(9, 1), reason="gone for good")
    barter.trade(sale=other, amount=D(600), on=day(6, 1), words="photos", kind="overhead")


def test_late_payers_come_back_with_their_letters_and_debts(tmp_path: Path) -> None:
    before, after = round_trip(late_payers, tmp_path)
    assert before == after
    assert len(before["write-offs"]) == 3
    assert [row["interest"] for row in before["reminders"]] == [D("16.52"), D("16.74")]
    assert before["balances"]["INV-001"].written_off == 1000


def test_the_demo_year_sells_the_same_again(tmp_path: Path) -> None:
    before, after = round_trip(lambda: load(DEMO), tmp_path)
    assert before == after
    assert after["results"][2025]["profit"]["stock_basis"] == "268.41"


def sold_from() -> None:
    """A workshop that sells: it moves, renames itself and its customers, registers for tax, and makes mistakes."""
    workshop.set_up(name="Lived in", maker="K. Person", postal_address="Lane 1\n99999 Utuharju", currency="EUR")
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), vat_percent=D(0))
    shelf = places.create(name="Shelf", kind="shelf")
    van = places.create(name="Van", kind="van")
    gallery = places.create(name="Gallery", kind="gallery")
    channel = channels.save(name="Gallery", fee_percent=D(35), fixed_cost=D(0))
    resale = {"fee_fixed": D("0.10"), "resells": True, "relief": "Sale for resale"}
    channels.save(name="Shop", fee_percent=D(40), fixed_cost=D("4.00"), **resale)
    customers.write(name="Museum", tax_number="E-1", relief="Public collection")
    box = materials.create(code="BOX", details=materials.Details("Box", "piece", place=shelf))
    materials.open_stock(material=box, on=day(1, 1), quantity=D(9), unit="piece", value=D("9.10"))
    for number in range(1, 10):
        theirs = number == 9
        skins.take_in(
            tag=f"H{number}",
            details=skins.Details(
                species="goat",
                date_in=day(1, 10),
                owner="customer" if theirs else "mine",
                price=D(0) if theirs else D(f"7.{number}1"),
                place=shelf,
            ),
        )
        labour.log(on=day(1, 12), task="flesh", minutes=D(31) + number, tags=[f"H{number}"])
        if number not in (7, 8):
            articles.finish(
                on=day(2, 1),
                tags=[f"H{number}"],
                pieces=[Piece(f"A{number}", "rug", "bark", list_price=D(90), place=shelf)],
            )
    losses.lose(skin=Skin.objects.get(tag="H8"), on=day(1, 20), reason="slipped")
    series.change_all(written={"sale": ("", 4), "invoice": ("S-", 2)})
    ann = customers.write(name="Ann", postal_address="Hill 1")
    job = jobs.take(
        number="J-1",
        customer=ann,
        skin=Skin.objects.get(tag="H9"),
        work="tan",
        price=D(80),
        taken_on=day(1, 10),
        deposit=D(30),
    )
    jobs.ready(job=job, on=day(2, 2))
    wrong = payments.receive(amount=D(20), on=day(1, 11), job=job)
    payments.reverse(payment=wrong, on=day(1, 12))
    payments.receive(amount=D(30), on=day(1, 12), job=job, how="card", note="by card")

    def a(number: int) -> Article:
        return Article.objects.get(number=f"A{number}")

    fair = fairs.plan(name="Fair", on=day(3, 1), place=van, stall_minutes=D(300), note="rain")
    fairs.plan(name="Fair", on=day(9, 1))
    fairs.pack(fair=fair, articles=[a(1), a(2)], on=day(2, 28))
    first = selling.sell(
        on=day(3, 1),
        fair=fair,
        items=[
            Item("article", D(90), article=a(1), discount=D(5)),
            Item("other", D("1.50"), words="wax", quantity=D(2)),
            Item("other", D("1.50"), words="wax", quantity=D(2)),
        ],
        paid=[Paid(D(91))],
    )
    fairs.close(fair=fair, on=day(3, 1), back=[a(2)], to=shelf)
    selling.sell(on=day(2, 20), items=[Item("scrap", D(3), skin=Skin.objects.get(tag="H8"))])  # entered late
    credits.credit(sale=first, on=day(3, 2), reason="wax was old", lines=[first.lines.get(position=3)])
    credits.credit(sale=first, on=day(3, 3), reason="wax too", lines=[first.lines.get(position=2)], refund=Paid(D(6)))
    packed = ledger.issue(kind=Kind.SOLD, on=day(3, 5), draws=[ledger.Draw(box, D(1), "1 piece")], reason="post")
    bill = selling.sell(
        kind="invoice",
        on=day(3, 5),
        issued_on=day(3, 6),
        customer=ann,
        box=packed,
        items=[Item("work", D(80), job=job), Item("postage", D("6.10"))],
        note="thanks",
    )
    expenses.spend(kind="postage", amount=D("5.20"), on=day(3, 5), sale=bill)
    # The workshop moves, Ann marries, and tax is to be charged from here on.
    workshop.set_up(postal_address="Road 2\n99998 Elsewhere")
    customers.write(customer=ann, name="Ann Hill", postal_address="Hill 2")
    terms.set_terms(tax_number="XX123", law="UK", prices_with_tax=False, payment_days=7, short_limit=D(250))
    rates.set_rates(vat_percent=D("25.5"))
    moves.move(thing=a(3), to=gallery, on=day(3, 10), note="on return")
    sent = selling.sell(
        kind="invoice",
        on=day(4, 1),
        customer=ann,
        channel=channel,
        items=[
            Item("article", D("99.99"), article=a(3)),
            Item("other", D(10), words="book", tax_percent=D(0), relief="book"),
        ],
    )
    make.sells_through(channel, gallery)
    withheld = expenses.spend(kind="fee", amount=D(20), on=day(4, 1), sale=sent, withheld=True)
    expenses.reverse(expense=withheld, on=date(2026, 1, 5))
    credits.credit(sale=sent, on=day(4, 2), reason="scratch", amounts={sent.lines.get(position=1).pk: D("9.99")})
    credits.credit(sale=sent, on=day(4, 9), reason="sent back", back_to=gallery)
    selling.sell(on=day(4, 10), channel=channel, items=[Item("article", D(70), article=a(3))], paid=[Paid(how="bank")])
    customers.write(customer=ann, name="Ann Hill", postal_address="Hill 3")
    moves.out(article=a(4), on=day(4, 11), why="given", note="to Ann")
    moves.reverse(move=moves.out(article=a(5), on=day(4, 11), why="spoiled"))
    moves.move(thing=a(5), to=van, on=day(4, 12))
    Article.objects.filter(number="A5").update(place=shelf)  # as older workshops put a place right, without a move
    Article.objects.filter(number="A6").update(place=None)
    moves.move(thing=a(6), to=van, on=day(4, 13))
    moves.move(thing=Skin.objects.get(tag="H7"), to=van, on=day(4, 13))
    moves.move(thing=Material.objects.get(code="BOX"), to=van, on=day(4, 13))
    expenses.reverse_hours(
        row=expenses.spend_hours(kind="papers", minutes=D(90), on=day(5, 1), words="tax"), on=date(2026, 1, 4)
    )
    expenses.spend_hours(kind="stall", minutes=D("45.5"), on=day(5, 1))
    expenses.spend(kind="overhead", amount=D(50), on=day(5, 1), words="power")
    given_up(ann)
    workshop.close_books(to=day(3, 31))
    workshop.pin_today(on=date(2026, 2, 1))


def given_up(ann: Customer) -> None:
    """Jobs that ended undone: a part kept and the rest paid back, all paid back, and one whose skin was lost before."""
    tub = places.create(name="Tub", kind="tub")
    steps = [recipes.Step("alum bath", lasts_days=9, every_days=1, repeat="turn", uses="tub")]
    salt = materials.create(code="SALT", details=materials.Details("Salt", "kg"))
    materials.open_stock(material=salt, on=day(4, 1), quantity=D(9), unit="kg", value=D("9.10"))
    lines = [recipes.Line(salt, D(1), "kg", "per_bath")]
    for number in (11, 12, 13, 14):
        details = skins.Details(
            species="goat", date_in=day(4, 20), owner="customer" if number < 14 else "mine", place=tub
        )
        skins.take_in(tag=f"H{number}", details=details)
    tags = ["H11", "H12", "H14"]
    version = recipes.write(code="R9", method="alum_tawed", lines=lines, steps=steps)
    bath = batches.plan(number="B9", version=version, start=day(4, 21), tags=tags, place=tub)
    issues_services.issue(batch=bath, on=day(4, 21), amounts=[issues_services.Amount(salt, D(2), "kg")])
    for number in (11, 12, 13):
        job = jobs.take(
            number=f"J-{number}",
            customer=ann,
            skin=Skin.objects.get(tag=f"H{number}"),
            work="tan",
            price=D(80),
            taken_on=day(4, 20),
        )
        payments.receive(amount=D(30), on=day(4, 20), job=job)
    labour.log(on=day(4, 22), task="turn", minutes=D(50), batch=bath)
    losses.lose(skin=Skin.objects.get(tag="H13"), on=day(4, 20), reason="hair slips")
    one, two, three = Job.objects.filter(number__in=["J-11", "J-12", "J-13"]).order_by("number")
    cancellations.cancel(job=one, on=day(4, 23), reason="moves away", kept=D(12), refund=Paid())
    cancellations.cancel(job=two, on=day(4, 24), reason="wants it raw", refund=Paid(how="bank"))
    cancellations.cancel(job=three, on=day(4, 25), reason="nothing left of it", refund=Paid())
    labour.log(on=day(4, 26), task="turn", minutes=D(30), batch=bath)
    articles.finish(on=day(5, 9), tags=["H14"], pieces=[Piece("A14", "rug", "alum_tawed")])


def test_a_workshop_that_sold_comes_back_the_same(tmp_path: Path) -> None:
    before, after = round_trip(sold_from, tmp_path)
    for part in before:
        assert before[part] == after[part], part


def test_what_the_round_trip_covers_is_there(tmp_path: Path) -> None:
    """So that the test above cannot pass on an empty workshop."""
    with passing():
        sold_from()
        saved = save(tmp_path / "A")
        numbers = set(Sale.objects.values_list("number", flat=True))
        assert {"0001", "0002", "0003", "S-01", "S-02", "S-03", "CN-001", "CN-004"} == numbers - {"CN-002", "CN-003"}
        assert Sale.objects.get(number="S-01").buyer["address"] == "Hill 1"
        assert not Sale.objects.get(number="S-01").taxed
        assert Sale.objects.get(number="S-02").taxed
        assert saved.taken_back == Move.objects.filter(reversed_at__isnull=False).count() == 1
        assert set(saved.rows) >= {"sales.csv", "papers.csv", "receipts.csv", "payments.csv", "moves.csv"}
        assert set(saved.rows) >= {"expenses.csv", "hours.csv"}
        given = Job.objects.filter(given_up_on__isnull=False).order_by("number")
        assert [job.given_back for job in given] == [True, True, False]
        assert Payment.objects.filter(job__isnull=False, amount__lt=0, reverses__isnull=True).count() == 2
        assert Place.objects.get(name="Shelf").articles.filter(number="A5").exists()


def test_every_word_of_a_frozen_seller_and_buyer_has_its_column() -> None:
    columns = {column.name for column in FILES["papers.csv"].columns}
    frozen = {f"seller_{part}" for part in papers.seller()} | {f"buyer_{part}" for part in papers.buyer(None)}
    assert columns == frozen | {"sale", "taxed", "prices_with_tax", "tax_level", "tax_way", "due_on"}
    assert {column.name for column in FILES["receipts.csv"].columns} == frozen | {"receipt", "work", "agreed"}


def test_a_paper_taken_over_with_tax_on_it_names_the_sellers_number() -> None:
    with pytest.raises(Refused, match="tax number"):
        selling.sell(
            on=day(2, 1),
            items=[Item("other", D(1), words="wax")],
            as_issued=selling.AsIssued(seller={}, buyer={}, taxed=True),
        )
