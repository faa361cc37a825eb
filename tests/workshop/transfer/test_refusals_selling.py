"""Files of selling with something wrong in them: the row is named, in words, and nothing is written."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from costing.models import Expense, Fair, Payment, Sale, SideHours, Terms
from costing.sell.payments import selectors as money
from inventory.errors import Refused
from inventory.models import Article, Material, Move, Place
from tests.workshop.transfer import folders
from tests.workshop.transfer.test_refusals import only, refused
from workshop.transfer.loading import load

pytestmark = [pytest.mark.django_db, pytest.mark.thorough]


@pytest.fixture
def selling(tmp_path: Path) -> Path:
    return folders.write(tmp_path / "selling", folders.SELLING)


def numbers() -> list[str]:
    return list(Sale.objects.order_by("pk").values_list("number", flat=True))


def test_the_small_workshop_sells(selling: Path) -> None:
    written = load(selling).written
    assert {noun: written[noun] for noun in ("customers", "jobs", "fairs", "sale lines", "payments", "moves")} == {
        "customers": 2,
        "jobs": 1,
        "fairs": 1,
        "sale lines": 8,
        "payments": 5,
        "moves": 5,
    }
    assert numbers() == ["S-001", "S-002", "INV-001", "INV-002", "CN-001", "CN-002"]
    assert Article.objects.get(number="H02").place == Place.objects.get(name="Shelf")
    assert Article.objects.get(number="H03").gone_why == "delivered"
    assert Article.objects.get(number="H01-2").gone_why == "given"
    assert Material.objects.get(code="SALT").place == Place.objects.get(name="Tub")
    assert Sale.objects.get(number="INV-001").packing.reason == "with the roe"
    fair = Fair.objects.get()
    assert sorted(fair.pieces.values_list("article__number", "back")) == [("H01-1", False), ("H01-2", True)]
    assert Move.objects.filter(why="moved", article__number="H01-2").count() == 1  # the pack list moves nothing
    assert sum(Expense.objects.filter(kind="postage").values_list("amount", flat=True)) == 0
    assert sum(SideHours.objects.values_list("minutes", flat=True)) == 0
    assert sum(Payment.objects.filter(sale__number="INV-001").values_list("amount", flat=True)) == 0


def test_a_paper_with_a_row_of_its_own_stays_as_it_was_issued(selling: Path) -> None:
    load(selling)
    old, new = Sale.objects.get(number="INV-001"), Sale.objects.get(number="INV-002")
    assert (old.seller["name"], old.buyer["name"], old.due_on) == ("Old name", "Mrs Before", date(2025, 3, 20))
    assert (new.seller["name"], new.buyer["tax_number"], new.due_on) == ("Small", "XX9", date(2025, 3, 24))
    assert old.customer.name == "Mrs T"


def test_a_receipt_with_a_row_of_its_own_names_whom_it_named(selling: Path) -> None:
    load(selling)
    deposit, paid = Payment.objects.get(number="R-001"), Payment.objects.get(number="R-004")
    assert (deposit.seller["address"], deposit.buyer["name"]) == ("Old lane 1, Utuharju", "Mrs Before")
    assert (paid.seller["name"], paid.buyer["name"]) == ("Old name", "Mrs Before"), "as its sale says"


def test_a_folder_from_before_receipts_kept_whom_they_name_loads(selling: Path) -> None:
    (selling / "receipts.csv").unlink()
    load(selling)
    deposit = Payment.objects.get(number="R-001")
    assert (deposit.seller["name"], deposit.seller["address"]) == ("Small", "Lane 1, Utuharju")
    assert deposit.buyer["name"] == "Mrs T"


def test_a_paper_without_a_row_of_its_own_must_be_complete(selling: Path) -> None:
    (selling / "papers.csv").unlink()
    folders.change(selling, "workshop.csv", 8, "value", "")
    needs = [problem for problem in refused(selling).problems if "your address" in problem.reason]
    assert [problem.row for problem in needs] == [2, 4, 5, 7]


def test_a_paper_with_a_row_of_its_own_is_not_asked_what_it_lacks(selling: Path) -> None:
    folders.change(selling, "papers.csv", 2, "seller_address", "")
    load(selling)
    assert Sale.objects.get(number="INV-001").seller["address"] == ""


def test_terms_and_series_are_set_before_anything_is_sold(selling: Path) -> None:
    for line in ("payment_days,7", "sale_prefix,", "sale_digits,5", "invoice_prefix,B-", "turnover_limit,900"):
        folders.add(selling, "workshop.csv", line)
    for file in ("sales.csv", "payments.csv", "expenses.csv", "uses.csv", "papers.csv"):
        text = (selling / file).read_text("utf-8")
        text = text.replace("S-00", "0000").replace("INV-0", "B-0")
        (selling / file).write_text(text, encoding="utf-8")
    load(selling)
    assert numbers() == ["00001", "00002", "B-001", "B-002", "CN-001", "CN-002"]
    assert Sale.objects.get(number="B-002").due_on == date(2025, 3, 17)
    assert Terms.objects.get().turnover_limit == Decimal(900)


@pytest.mark.parametrize(
    ("file", "row", "column", "value", "says"),
    [
        ("channels.csv", 3, "place", "Galery", "did you mean Gallery"),
        ("uses.csv", 5, "sale", "INV-009", "sales.csv has no INV-009"),
        ("uses.csv", 5, "sale", "CN-001", "packing goes with a sale"),
        ("uses.csv", 2, "sale", "S-001", "with the reason sold"),
        ("customers.csv", 2, "name", "", "missing"),
        ("jobs.csv", 2, "customer", "Mr T", "customers.csv has no Mr T; did you mean Mrs T"),
        ("jobs.csv", 2, "skin", "H01", "your own"),
        ("jobs.csv", 2, "deposit", "80.01", "more than the price"),
        ("jobs.csv", 2, "ready_by", "2025-01-09", "before it was taken"),
        ("jobs.csv", 2, "ready_on", "2025-01-09", "after 2025-01-09"),
        ("fairs.csv", 2, "place", "Vann", "places.csv has no Vann"),
        ("fairs.csv", 2, "pieces", "H01-1 H99", "articles.csv has no H99"),
        ("fairs.csv", 2, "pieces", "H01-1 H01-2 H03", "customer's own"),
        ("fairs.csv", 2, "back", "H02", "was not packed"),
        ("fairs.csv", 2, "closed_on", "", "on which day"),
        ("fairs.csv", 2, "stall_minutes", "99999", "days at a stall"),
        ("sales.csv", 2, "sale", "S-009", "gives S-001"),
        ("sales.csv", 2, "date", "", "names its day"),
        ("sales.csv", 2, "date", "2025-02-01", "was finished on"),
        ("sales.csv", 2, "kind", "gift", "sale, invoice, credit"),
        ("sales.csv", 3, "channel", "Craft room", "One sale has one channel"),
        ("sales.csv", 2, "channel", "Fairs", "channels.csv has no Fairs"),
        ("sales.csv", 2, "fair", "Spring fair", "did you mean Spring fair 2025-03-01"),
        ("sales.csv", 2, "article", "H09", "articles.csv has no H09"),
        ("sales.csv", 2, "article", "H03", "customer's own"),
        ("sales.csv", 2, "discount", "39.00", "39"),
        ("sales.csv", 2, "asked", "", "missing"),
        ("sales.csv", 3, "line", "", "Say what the line is"),
        ("sales.csv", 3, "words", "", "Say what was sold"),
        ("sales.csv", 3, "skin", "H04", "H04"),
        ("sales.csv", 3, "of_line", "1", "on a credit note only"),
        ("sales.csv", 4, "skin", "H02", "Only a lost skin"),
        ("sales.csv", 4, "credits", "S-001", "Only a credit note"),
        ("sales.csv", 5, "customer", "Nobody", "customers.csv has no Nobody"),
        ("sales.csv", 5, "customer", "Craft room", "is for Mrs T"),
        ("sales.csv", 7, "channel", "Fair, card", "on sale or return"),
        ("sales.csv", 8, "credits", "", "names the sale that it credits"),
        ("sales.csv", 8, "credits", "INV-009", "sales.csv has no INV-009"),
        ("sales.csv", 8, "date", "2025-03-09", "before it"),
        ("sales.csv", 8, "of_line", "4", "has no line 4"),
        ("sales.csv", 8, "of_line", "", "not both"),
        ("sales.csv", 8, "off", "185.01", "185.01"),
        ("sales.csv", 8, "reason", "", "missing"),
        ("sales.csv", 9, "back_to", "Attic", "places.csv has no Attic"),
        ("papers.csv", 2, "sale", "INV-007", "sales.csv has no INV-007"),
        ("papers.csv", 2, "sale", "CN-001", "what the sale says"),
        ("payments.csv", 2, "receipt", "R-002", "gives R-001"),
        ("payments.csv", 3, "sale", "", "either the sale or the job"),
        ("payments.csv", 3, "amount", "38.01", "38.00 is the balance due"),
        ("payments.csv", 3, "amount", "0", "more than nothing"),
        ("payments.csv", 3, "how", "shells", "cash, bank, card, barter, other"),
        ("payments.csv", 2, "amount", "-30", "0.00 is held for J-1"),
        ("receipts.csv", 2, "receipt", "R-009", "payments.csv has no R-009"),
        ("payments.csv", 5, "amount", "-10", "0.00 was paid too much"),
        ("payments.csv", 6, "takes_back", "R-009", "payments.csv has no R-009"),
        ("payments.csv", 6, "amount", "-9", "below zero"),
        ("payments.csv", 6, "date", "2025-03-04", "before it happened"),
        ("expenses.csv", 2, "kind", "beer", "fee, postage"),
        ("expenses.csv", 2, "fair", "Autumn fair 2025-10-01", "fairs.csv has no"),
        ("expenses.csv", 3, "taken_back", "2025-03-04", "before it happened"),
        ("expenses.csv", 5, "withheld", "yes", "name the sale"),
        ("hours.csv", 2, "minutes", "999999", "more than a year"),
        ("moves.csv", 2, "article", "", "Name one thing"),
        ("moves.csv", 2, "skin", "H01", "Name one thing"),
        ("moves.csv", 2, "to", "Attic", "places.csv has no Attic"),
        ("moves.csv", 2, "date", "2025-01-01", "finished on"),
        ("moves.csv", 5, "to", "Shelf", "goes to no place"),
        ("moves.csv", 6, "why", "given", "Only an article leaves"),
        ("moves.csv", 6, "material", "SLAT", "did you mean SALT"),
    ],
)
def test_a_bad_cell_is_named_with_its_file_row_and_reason(
    selling: Path, file: str, row: int, column: str, value: str, says: str
) -> None:
    folders.change(selling, file, row, column, value)
    refusal = refused(selling)
    places = [(each.file, each.row) for each in refusal.problems if says in each.reason]
    assert (file, row) in places, str(refusal)


@pytest.mark.parametrize(
    ("line", "column", "says"),
    [
        ("workshop.csv:deposit_percent,101", "value", "more than the price"),
        ("workshop.csv:law,FR", "value", "EU, UK, US"),
        ("workshop.csv:short_limit,", "value", "missing"),
        ("workshop.csv:invoice_prefix,=1", "value", "formula"),
        ("workshop.csv:credit_prefix,a b", "value", "no spaces"),
        ("workshop.csv:sale_digits,10", "value", "from 1 to 9"),
    ],
)
def test_a_bad_term_is_named_at_its_row(selling: Path, line: str, column: str, says: str) -> None:
    file, text = line.split(":")
    folders.add(selling, file, text)
    assert any(says in problem.reason and problem.column == column for problem in refused(selling).problems)


@pytest.mark.parametrize("lines", [["invoice_prefix,S-"], ["invoice_prefix,S-", "sale_prefix,S-"]])
def test_two_series_that_would_give_one_number_are_refused(selling: Path, lines: list[str]) -> None:
    for line in lines:
        folders.add(selling, "workshop.csv", line)
    assert any("one number" in problem.reason for problem in refused(selling).problems)


def test_the_line_at_fault_is_named_and_not_the_first_of_its_sale(selling: Path) -> None:
    folders.change(selling, "sales.csv", 3, "line", "article")
    folders.change(selling, "sales.csv", 3, "article", "H03")
    folders.change(selling, "sales.csv", 3, "quantity", "")
    assert ("sales.csv", 3, "article") in [(each.file, each.row, each.column) for each in refused(selling).problems]


def test_a_number_out_of_line_says_what_its_series_gives(selling: Path) -> None:
    """Everything that names the paper leans on it and is not blamed."""
    text = (selling / "sales.csv").read_text("utf-8").replace("S-002", "S-003")
    (selling / "sales.csv").write_text(text, encoding="utf-8")
    payments = (selling / "payments.csv").read_text("utf-8").replace("S-002", "S-003")
    (selling / "payments.csv").write_text(payments, encoding="utf-8")
    only(selling, "sales.csv", 4, "sale", "Its series gives S-002 here")


def test_a_refused_sale_is_blamed_once_and_those_after_it_are_not_judged_by_their_numbers(selling: Path) -> None:
    folders.change(selling, "sales.csv", 2, "article", "H09")
    refusal = refused(selling)
    assert [(problem.file, problem.row) for problem in refusal.problems] == [("sales.csv", 2)]
    assert refusal.unchecked >= 2


def test_without_seq_a_later_day_gets_the_later_number_whatever_the_order_of_rows(selling: Path) -> None:
    folders.change(selling, "sales.csv", 4, "date", "2025-02-20")
    assert any("gives S-001" in problem.reason for problem in refused(selling).problems)


def test_with_seq_a_paper_entered_late_keeps_its_number(tmp_path: Path) -> None:
    files = {name: folders.SELLING[name] for name in ("workshop.csv", "materials.csv", "skins.csv")} | {
        "places.csv": "name\nShelf\n",
        "suppliers.csv": folders.SELLING["suppliers.csv"],
        "losses.csv": "date,tag,reason\n2025-02-01,H01,slipped\n2025-02-01,H02,slipped\n",
        "sales.csv": ("sale,date,skin,asked,seq\nS-001,2025-03-05,H01,5.00,1\nS-002,2025-02-20,H02,6.00,3\n"),
        "payments.csv": "receipt,date,amount,sale,seq\nR-001,2025-03-06,5.00,S-001,2\nR-002,2025-02-20,6.00,S-002,4\n",
    }
    load(folders.write(tmp_path / "late", files))
    assert numbers() == ["S-001", "S-002"]
    assert list(Payment.objects.order_by("sequence").values_list("amount", flat=True)) == [Decimal(5), Decimal(6)]


def test_seq_on_some_rows_only_is_refused(selling: Path) -> None:
    text = (selling / "hours.csv").read_text("utf-8").splitlines()
    (selling / "hours.csv").write_text(f"{text[0]},seq\n{text[1]},1\n", encoding="utf-8")
    assert {problem.column for problem in refused(selling).problems} == {"seq"}


def test_money_for_a_sale_waits_for_it_even_when_it_came_before(selling: Path) -> None:
    folders.change(selling, "payments.csv", 3, "date", "2025-02-20")
    load(selling)
    assert money.balance(Sale.objects.get(number="S-001"), date(2025, 2, 21)).paid == Decimal("38.00")


def test_a_workshop_with_a_customer_is_not_empty(selling: Path, tmp_path: Path) -> None:
    load(folders.write(tmp_path / "few", {"customers.csv": "name\nAnn\n"}))
    with pytest.raises(Refused, match="customers"):
        load(selling)
