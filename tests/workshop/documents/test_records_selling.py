"""Papers of selling from the demonstration's records, by their addresses and by the command `paper`."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from django.contrib.messages import get_messages
from django.core.management.base import CommandError
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from costing.models import Customer, Fair, FairPiece, Job, Payment, Sale
from costing.report.valuation import selectors as stock_value
from costing.report.valuation.stock_sheet import report as stock_report, selectors as stock_sheet
from costing.report.valuation.stock_sheet.rules import Group
from costing.sell.fairs import services as fairs
from costing.sell.jobs.cancellations import services as cancellations
from costing.sell.payments import services as payments
from costing.sell.payments.services import Paid
from costing.sell.sales import services as selling
from costing.sell.sales.credits import services as credits
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import services as terms
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article, Place, Skin
from inventory.report import Form
from tests import factories as make
from tests.workshop.documents import reading
from tests.workshop.management.test_commands import answer, said
from workshop.documents import printing
from workshop.documents.records import goods, invoices, jobs, stock
from workshop.reports import files

pytestmark = [pytest.mark.usefixtures("demo", "type_is_cut"), pytest.mark.thorough]
D = Decimal


def sale(number: str) -> Sale:
    return Sale.objects.get(number=number)


def open_invoice() -> Sale:
    """An invoice of 40.00 of which nothing is paid."""
    buyer = Customer.objects.order_by("pk")[0]
    return selling.sell(kind="invoice", on=date(2025, 12, 28), customer=buyer, items=[Item("other", D(40), "Comb")])


def gallery() -> Place:
    return Place.objects.get(kind=Place.Kind.GALLERY)


def fair(name: str = "Christmas market") -> Fair:
    return Fair.objects.get(name=name)


def test_the_invoice_of_the_job_takes_off_the_deposit_and_what_was_paid() -> None:
    words = reading.words(printing.paper("sale", sale("INV-001")))
    assert "Mrs Tuohiköngäs" in words
    assert "Total, EUR 165.00 Deposit −66.00 Paid, cash −99.00 Balance due, EUR 0.00" in words
    assert "No tax is charged: the seller is not registered for it." in words


def test_what_a_gallery_keeps_is_taken_off_and_what_came_later_is_not() -> None:
    words = reading.words(printing.paper("sale", sale("INV-003")))
    assert "Fee deducted before payout −49.00 Balance due, EUR 91.00" in words


@pytest.mark.parametrize(("supplied", "issued"), [(1, 9), (9, 1)])
def test_money_that_came_between_supply_and_issue_stands_on_the_invoice(supplied: int, issued: int) -> None:
    buyer = Customer.objects.order_by("pk")[0]
    days = {"on": date(2025, 12, supplied), "issued_on": date(2025, 12, issued)}
    new = selling.sell(kind="invoice", customer=buyer, items=[Item("other", D(40), "Comb")], **days)
    for amount, day in ((5, 5), (10, 9), (20, 10)):
        payments.receive(sale=new, amount=D(amount), on=date(2025, 12, day))
    paper = invoices.invoice(new)
    assert (paper.settled, paper.due) == ((("Paid, cash", D(15)),), D(25))


def test_a_note_that_is_for_oneself_stands_on_no_paper_of_its_sale() -> None:
    given = {"kind": "invoice", "on": date(2025, 12, 28), "customer": Customer.objects.order_by("pk")[0]}
    row = selling.sell(**given, items=[Item("other", D(40), "Comb")], note="asked 60, haggles hard")
    for printed in (printing.paper("sale", row), printing.paper("packing", row)):
        assert "Comb" in reading.words(printed)
        assert "haggles" not in reading.words(printed)


def test_a_payment_that_was_taken_back_the_same_day_leaves_nothing_on_the_paper() -> None:
    new = open_invoice()
    payment = payments.receive(sale=new, amount=D("1.00"), how="cash", on=new.on)
    assert invoices.invoice(new).settled == (("Paid, cash", D("1.00")),)
    payments.reverse(payment=payment, on=new.on)
    assert invoices.invoice(new).settled == ()


def test_what_was_paid_back_the_same_day_is_called_so() -> None:
    job = make.job("J-09", price=165, finished=False, on=date(2025, 12, 1))
    payments.receive(job=job, amount=D(66), on=date(2025, 12, 1))
    cancellations.cancel(job=job, on=date(2025, 12, 5), reason="moves away", kept=D(20), refund=Paid())
    paper = invoices.invoice(job.sale_lines.get().sale)
    assert paper.settled == (("Deposit", D(66)), ("Refunded, cash", D(-46)))
    assert paper.due == 0
    back = invoices.receipt(job.sale_lines.get().sale.payments.get())
    assert (back.amount, back.balance, back.held) == (-46, 0, None)


def test_a_receipt_for_a_deposit_paid_back_says_what_is_still_held() -> None:
    job = make.job("J-09", price=165, finished=False, on=date(2025, 12, 1))
    payments.receive(job=job, amount=D(66), on=date(2025, 12, 1))
    back = payments.refund(job=job, amount=D(46), on=date(2025, 12, 2))
    before = printing.paper("payment", back)
    words = reading.words(before)
    assert "Refund receipt" in words
    assert "Deposit still held, EUR 20.00" in words
    assert "Balance due" not in words
    payments.refund(job=job, amount=D(20), on=date(2025, 12, 3))
    assert printing.paper("payment", back) == before


def test_a_credit_of_the_same_day_changes_no_receipt_that_was_printed_before_it() -> None:
    row = open_invoice()
    payment = payments.receive(sale=row, amount=D("10.00"), how="cash", on=row.on)
    before = printing.paper("payment", payment)
    assert "Balance due after this payment, EUR 30.00" in reading.words(before)
    credits.credit(sale=row, on=row.on, reason="a stain", amounts={row.lines.get().pk: D("5.00")})
    assert printing.paper("payment", payment) == before
    last = payments.receive(sale=row, amount=D("25.00"), how="cash", on=row.on)
    assert "Balance due after this payment, EUR 0.00" in reading.words(printing.paper("payment", last))


def test_the_credit_note_is_the_mirror_of_its_invoice() -> None:
    note = invoices.invoice(sale("CN-001"))
    assert (note.gross, note.balance, note.corrects, note.reason) == (D("-39.90"), D("0.00"), "INV-004", "sent back")
    assert [line.quantity for line in note.lines] == [D(-1), D(-1)]
    assert note.supplied_on == sale("INV-004").on


def test_a_price_cut_leaves_the_rest_of_its_invoice() -> None:
    line = sale("INV-003").lines.get()
    note = credits.credit(sale=sale("INV-003"), on=date(2025, 10, 1), reason="a stain", amounts={line.pk: D("10.00")})
    words = reading.words(printing.paper("sale", note))
    assert "Total of INV-003 after this credit, EUR 130.00" in words
    credits.credit(sale=sale("INV-003"), on=date(2025, 10, 2), reason="another", amounts={line.pk: D("5.00")})
    assert reading.words(printing.paper("sale", note)) == words


@pytest.mark.parametrize(
    ("number", "left"), [("R-001", "99.00"), ("R-004", "0.00"), ("R-007", "0.00"), ("R-011", "0.00"), ("R-012", "0.00")]
)
def test_a_receipt_says_what_was_left_after_it(number: str, left: str) -> None:
    assert invoices.receipt(Payment.objects.get(number=number)).balance == D(left)


def test_a_later_payment_does_not_change_an_earlier_receipt() -> None:
    new = open_invoice()
    first = payments.receive(sale=new, amount=D("5.00"), how="cash", on=date(2025, 12, 29))
    before = printing.paper("payment", first)
    payments.receive(sale=new, amount=D("6.00"), how="cash", on=date(2025, 12, 29))
    assert printing.paper("payment", first) == before
    assert invoices.receipt(first).balance == D("35.00")


def test_a_packing_slip_names_things_and_skins_and_no_price() -> None:
    slip = goods.packing_slip(sale("S-005"))
    assert [(thing.number, thing.tags, thing.care) for thing in slip.items] == [
        ("CUSH1", "H10, H11", "Synthetic or oil tan")
    ]
    words = reading.words(printing.paper("packing", sale("INV-002")))
    assert "185" not in words
    assert "Postage" not in words
    job = goods.packing_slip(sale("INV-001")).items[0]
    assert (job.number, job.tags, job.care) == ("J-01", "H06", "Alum-tawed")


def test_a_credit_note_is_not_packed() -> None:
    with pytest.raises(Refused, match="CN-001 is a credit note; nothing is packed for it"):
        goods.packing_slip(sale("CN-001"))


def test_a_pack_list_shows_what_was_sold_there_and_what_is_back() -> None:
    lines = {line.number: line for line in goods.fair_day(fair()).pieces}
    assert {number for number, line in lines.items() if line.sold} == {"CUSH1", "H08-1", "H08-2", "H09"}
    assert (lines["CUSH1"].sold, lines["CUSH1"].how) == (D("95.00"), "card")
    assert {number for number, line in lines.items() if line.back} == {"H08-3", "H12"}


def test_the_least_price_of_a_pack_list_pays_cash_costs_and_hours() -> None:
    line = next(line for line in goods.fair_day(fair()).pieces if line.number == "H12")
    cost = Article.objects.get(number="H12").cost
    assert line.least == cost.book + (D(cost.own_minutes) / 60 * cost.wage_per_hour).quantize(D("0.01"))


def test_a_gallery_list_is_of_its_day() -> None:
    held = {on: [piece.number for piece in goods.gallery_paper(gallery(), on=on).held] for on in DAYS}
    assert held == {DAYS[0]: [], DAYS[1]: ["H03", "H07"], DAYS[2]: ["H03"]}
    piece = goods.gallery_paper(gallery(), on=DAYS[2]).held[0]
    assert (piece.price, piece.fee, piece.payable, piece.on) == (D(185), D("64.75"), D("120.25"), date(2025, 8, 5))


DAYS = (date(2025, 7, 1), date(2025, 9, 1), date(2025, 12, 31))


@pytest.mark.parametrize(("month", "sold", "owed"), [("2025-08", [], "0"), ("2025-09", ["INV-003"], "91.00")])
def test_a_statement_is_of_its_month(month: str, sold: list[str], owed: str) -> None:
    paper = goods.gallery_paper(gallery(), month=month)
    assert [line.number for line in paper.sold] == sold
    assert (paper.due, paper.paid) == (D(owed), D(0))


def test_a_shelf_has_no_sale_or_return_list() -> None:
    with pytest.raises(Refused, match="is no gallery"):
        goods.gallery_paper(Place.objects.exclude(kind=Place.Kind.GALLERY).order_by("pk")[0])


def test_a_job_card_carries_what_was_agreed_and_the_workshops_terms_of_storage() -> None:
    terms.set_terms(storage_free_days=20, storage_per_day=D("1.50"))
    card = jobs.job_card(Job.objects.get(number="J-01"))
    assert (card.price, card.deposit, card.paid, card.tag) == (D(165), D(66), D(66), "H06")
    assert (card.storage_free_days, card.storage_per_day) == (20, D("1.50"))


def test_the_years_stock_sheet_comes_to_the_golden_total_with_customers_at_nil() -> None:
    tables = stock_report.at(date(2025, 12, 31)).tables(Form.PAPER)
    assert {table.name: table.sums()["value"] for table in tables if table.summed} == {
        "consumables": D("148.80"),
        "raw": D("19.52"),
        "in_work": D(0),
        "finished": D("37.50"),
        "customers": D(0),
    }
    assert [row["value"] for row in tables[-1].rows if row["group"] == "Total"] == [D("205.82")]
    assert [row["what"] for table in tables[:-1] for row in table.rows if row["consigned"]] == ["H03 rug, sheep"]
    assert "Total 205.82 205.82" in reading.words(files.paper(stock_report.at(date(2025, 12, 31))))


@pytest.mark.parametrize("on", [date(2025, month, 15) for month in range(1, 13)])
def test_the_stock_sheet_of_any_day_comes_to_what_everything_is_worth(on: date) -> None:
    value, sheet = stock_value.at(on), stock_sheet.at(on)
    assert sheet.total.value == value.total
    assert sheet.groups[Group.RAW].value == value.raw_skins
    assert sheet.groups[Group.IN_WORK].value == value.in_work
    assert sheet.groups[Group.FINISHED].value == value.finished


def test_a_customers_skin_is_listed_at_nil_and_the_materials_in_it_are_in_work() -> None:
    lines = stock_sheet.at(date(2025, 4, 15)).lines
    theirs = [row for row in lines if row.group is Group.CUSTOMERS]
    assert [(row.what, row.value) for row in theirs] == [("H06 reindeer, of Mrs Tuohiköngäs", D(0))]
    inside = [row for row in lines if "H06" in row.what and row.group is Group.IN_WORK]
    assert [row.value > 0 for row in inside] == [True]


def test_a_piece_that_would_bring_less_than_it_cost_shows_the_lower_value() -> None:
    Article.objects.filter(number="H03").update(list_price=D("20.00"))
    row = next(row for row in stock_sheet.at(date(2025, 12, 31)).lines if row.what.startswith("H03"))
    # It stands at the gallery, which keeps 35 % and costs 2.60 a sale: 20.00 − 7.00 − 2.60.
    channel = gallery().channel
    assert row.lower == D("20.00") - D("20.00") * channel.fee_percent / 100 - channel.fixed_cost
    assert (row.value, row.lower < row.value) == (D("20.23"), True)


def test_a_stocktake_sheet_is_blind_and_lists_everything_by_place() -> None:
    sheet = stock.stocktake_sheet()
    places = dict(sheet.places)
    assert [line.code for line in places["Salt crate"]] == ["H13", "H14"]
    assert not any(line.unit for line in places["Salt crate"])
    materials = [line.code for lines in places.values() for line in lines if line.unit]
    assert len(materials) == len(set(materials)) > 15
    assert sheet.places[-1][0] == ""
    shown = reading.words(printing.paper("stocktake"))
    assert "60.82" not in shown
    assert "0.56" not in shown


PAPERS = {
    "sale_pdf": (["INV-002"], "/sales/INV-002/paper.pdf", "INV-002.pdf", "Invoice"),
    "packing_pdf": (["INV-002"], "/sales/INV-002/packing.pdf", "packing-INV-002.pdf", "Packing slip"),
    "payment_pdf": (["R-001"], "/payments/R-001/receipt.pdf", "R-001.pdf", "Deposit on J-01"),
    "job_pdf": (["J-01"], "/jobs/J-01/card.pdf", "job-J-01.pdf", "Job card"),
    "stock_sheet_pdf": ([], "/books/stock.pdf", "stock-2025-12-31.pdf", "Stock sheet"),
    "count_sheet_pdf": ([], "/shelf/count.pdf", "count-2025-12-31.pdf", "Stocktake sheet"),
}


@pytest.mark.parametrize("name", PAPERS)
def test_a_paper_opens_in_the_browser_under_a_name_to_keep(client: Client, name: str) -> None:
    given, path, file, words = PAPERS[name]
    assert reverse(name, args=given) == path
    shown = client.get(path)
    assert (shown.status_code, shown["Content-Type"]) == (200, "application/pdf")
    assert shown["Content-Disposition"] == f'inline; filename="{file}"'
    assert words in reading.words(shown.content)
    assert Client().get(path).status_code == 302


@pytest.mark.parametrize("name", [*PAPERS, "fair_pdf", "gallery_pdf"])
def test_a_paper_is_printed_on_the_sheet_that_its_address_asks_for(client: Client, name: str) -> None:
    rows = {"fair_pdf": [fair().pk], "gallery_pdf": [gallery().pk]}
    path = reverse(name, args=rows.get(name) or PAPERS[name][0])
    assert reading.size_mm(client.get(path).content) == reading.size_mm(client.get(path, {"sheet": "a4"}).content)
    assert reading.size_mm(client.get(path, {"sheet": "letter"}).content) == (215.9, 279.4)
    refused = client.get(path, {"sheet": "a3"})
    assert refused.status_code == 302
    assert [str(said) for said in get_messages(refused.wsgi_request)] == [
        "There is no sheet 'a3'; choose one of a4, letter."
    ]


def test_the_command_prints_on_the_sheet_that_it_is_told(tmp_path: Path) -> None:
    file = tmp_path / "x.pdf"
    said("paper", "invoice", "INV-001", "-o", str(file), "--sheet", "letter")
    assert reading.size_mm(file.read_bytes()) == (215.9, 279.4)


@pytest.mark.parametrize("name", ["sale_pdf", "packing_pdf", "payment_pdf", "job_pdf"])
def test_a_number_that_nobody_gave_has_no_paper(client: Client, name: str) -> None:
    assert client.get(reverse(name, args=["NONE"])).status_code == 404


def test_a_fair_and_a_gallery_are_printed_by_their_rows(client: Client) -> None:
    row = fair()
    shown = client.get(reverse("fair_pdf", args=[row.pk]))
    assert shown["Content-Disposition"] == 'inline; filename="fair-2025-11-29.pdf"'
    assert "Pack list, Christmas market" in reading.words(shown.content)
    address = reverse("gallery_pdf", args=[gallery().pk])
    assert "Sale-or-return list" in reading.words(client.get(address).content)
    assert "Statement, September 2025" in reading.words(client.get(address, {"month": "2025-09"}).content)
    assert "H07" in reading.words(client.get(address, {"on": "2025-09-01"}).content)
    assert client.get(reverse("gallery_pdf", args=[0])).status_code == 404


def test_a_month_that_is_none_is_refused_in_words(client: Client) -> None:
    shown = client.get(reverse("gallery_pdf", args=[gallery().pk]), {"month": "2025-13"})
    assert shown.status_code == 302
    assert any("not a month" in str(message) for message in get_messages(shown.wsgi_request))


def test_a_stock_sheet_is_of_the_day_asked_for(client: Client) -> None:
    shown = client.get(reverse("stock_sheet_pdf"), {"on": "2025-05-01"})
    assert "1 May 2025" in reading.words(shown.content)


@pytest.mark.thorough
def test_a_pack_list_takes_the_same_number_of_queries_for_one_piece_and_for_thirty() -> None:
    row = fairs.plan(name="Big fair", on=date(2025, 12, 30))
    counts = []
    for tags in (range(1), range(1, 30)):
        for tag in tags:
            make.skin(f"X{tag:02d}")
            article = make.finish(f"X{tag:02d}")[0]
            FairPiece.objects.create(fair=row, article=article)
        with workshop.remembered(), CaptureQueriesContext(connection) as seen:
            goods.fair_day(row)
        counts.append(len(seen))
    assert counts[0] == counts[1]


def test_the_stock_and_stocktake_sheets_take_the_same_number_of_queries_for_more_pieces() -> None:
    counts = []
    for tags in (range(1), range(1, 12)):
        for tag in tags:
            make.skin(f"X{tag:02d}", date_in=date(2025, 12, 1))
            make.finish(f"X{tag:02d}", on=date(2025, 12, 2))
            make.skin(f"Y{tag:02d}", date_in=date(2025, 12, 1))
        with workshop.remembered(), CaptureQueriesContext(connection) as seen:
            stock_report.at(date(2025, 12, 31))
            stock.stocktake_sheet()
        counts.append(len(seen))
    assert counts[0] == counts[1]


COMMANDS = {"INV-002": "invoice", "CN-001": "credit", "S-001": "receipt", "R-001": "receipt"}


@pytest.mark.parametrize("number", COMMANDS)
def test_paper_writes_what_was_asked_and_says_so(number: str, tmp_path: Path) -> None:
    target = tmp_path / "paper.pdf"
    paper = COMMANDS[number]
    found = answer("paper", paper, number, "-o", str(target))
    content = target.read_bytes()
    assert found == {"paper": paper, "number": number, "file": str(target), "bytes": str(len(content))}
    assert content == printing.numbered(paper, number.lower())
    assert number in reading.words(content)
    assert said("paper", paper, number, "-o", str(target)) == f"Wrote the {paper} {number} to {target}.\n"


@pytest.mark.parametrize(
    ("paper", "number", "refusal"),
    [
        ("invoice", "INV-999", "There is no invoice INV-999"),
        ("receipt", "R-999", "There is no receipt R-999"),
        ("invoice", "R-001", "There is no invoice R-001"),
        ("invoice", "S-001", "a sale over the counter; its paper is a receipt. Print it by `paper receipt S-001`"),
        ("receipt", "INV-001", "INV-001 is an invoice. Print it by `paper invoice INV-001`"),
        ("invoice", "CN-001", "CN-001 is a credit note. Print it by `paper credit CN-001`"),
    ],
)
def test_paper_refuses_with_the_way_out_and_writes_nothing(
    paper: str, number: str, refusal: str, tmp_path: Path
) -> None:
    target = tmp_path / "paper.pdf"
    with pytest.raises(CommandError, match=refusal):
        answer("paper", paper, number, "-o", str(target))
    assert not target.exists()


@pytest.mark.parametrize(
    ("paper", "number", "words"),
    [
        ("packing", "inv-002", "INV-002"),
        ("job", "J-01", "J-01"),
        ("statement", "Mrs Tuohiköngäs", "INV-001"),
        ("gallery", "Savupirtti Craft Room", "Savupirtti Craft Room"),
        ("card", "B5", "B5"),
    ],
)
def test_paper_prints_what_a_number_or_a_name_says_all_of(paper: str, number: str, words: str, tmp_path: Path) -> None:
    target = tmp_path / "paper.pdf"
    answer("paper", paper, number, "-o", str(target))
    assert words in reading.words(target.read_bytes())
    with pytest.raises(CommandError, match="X-99"):
        answer("paper", paper, "X-99", "-o", str(target))


def test_paper_speaks_the_language_asked_for(tmp_path: Path) -> None:
    target = tmp_path / "paper.pdf"
    answer("paper", "invoice", "INV-001", "--language", "fi", "-o", str(target))
    assert "Lasku" in reading.words(target.read_bytes())


def test_a_lost_skin_is_on_neither_sheet() -> None:
    lost = Skin.objects.filter(stage=Skin.Stage.LOST).first()
    assert lost is not None
    assert not [row for row in stock_sheet.at(date(2025, 12, 31)).lines if row.what.startswith(lost.tag)]
    assert lost.tag not in [line.code for _, lines in stock.stocktake_sheet().places for line in lines]
