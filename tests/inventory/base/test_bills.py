"""Suppliers' bills: taken warily, kept by content, handed out to the right role and shut off, carried and counted."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from io import BytesIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from pytest_django import Settings

from costing.models import Expense
from costing.report.tax import selectors as taxes
from costing.report.tax.rules import period
from costing.sell.expenses import services as expenses
from inventory.base import bills, pictures
from inventory.base.accounting import services as workshop
from inventory.deliveries import services as deliveries
from inventory.errors import NotAllowed, Refused
from inventory.models import Delivery, Skin
from tests import factories
from tests.inventory.pages import signed_in, text
from workshop.transfer.format import album
from workshop.transfer.format.problems import FolderRefused
from workshop.transfer.loading import load
from workshop.transfer.saving import save

PDF = b"%PDF-1.7\n1 0 obj << >> endobj\ntrailer << >>\n%%EOF\n"
DAY = date(2025, 3, 4)


@pytest.fixture(autouse=True)
def store(settings: Settings, tmp_path: Path) -> Path:
    settings.DATA_DIR = tmp_path / "data"
    return tmp_path / "data" / "bills"


def photo(size: tuple[int, int] = (400, 3600)) -> bytes:
    held = BytesIO()
    place = Image.Exif()
    place[0x010E] = "bought by the river"
    Image.new("RGB", size, "white").save(held, "JPEG", exif=place)
    return held.getvalue()


def kept(store: Path) -> list[str]:
    return sorted(file.name for file in store.iterdir()) if store.is_dir() else []


def test_pdf_is_kept_byte_by_byte_and_a_photo_anew(store: Path) -> None:
    assert bills.path(bills.keep(PDF)).read_bytes() == PDF
    assert bills.keep(PDF) == bills.keep(PDF)
    picture = bills.path(bills.keep(photo())).read_bytes()
    assert b"river" not in picture
    assert Image.open(BytesIO(picture)).size == (333, 3000)  # a long strip stays legible
    assert bills.keep(picture) in kept(store)
    assert len(kept(store)) == 2
    assert {(store / name).stat().st_mode & 0o777 for name in kept(store)} == {0o600}


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"", "A bill is a PDF or a photo"),
        (b"<html><script>alert(1)</script>", "A bill is a PDF or a photo"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "A bill is a PDF or a photo"),
        (b"MZ\x90\0" + b"%PDF-1.7 %%EOF", "A bill is a PDF or a photo"),
        (b"PK\x03\x04 a workbook", "A bill is a PDF or a photo"),
        (PDF[:-7], "broken off"),
        (photo()[:-200], "A bill is a PDF or a photo. This photo is broken off"),
        (b"%PDF-" + b"\0" * pictures.LARGEST, "too large; at most 20 MB"),
    ],
)
def test_what_is_neither_is_refused_and_nothing_is_kept(content: bytes, says: str, store: Path) -> None:
    with pytest.raises(Refused, match=says) as refusal:
        bills.keep(content)
    assert refusal.value.field == "bill"
    assert kept(store) == []


@pytest.mark.parametrize(
    "name", ["", "../secret.key", f"{'0' * 32}.pdf", f"{'0' * 32}.html", f"../bills/{'0' * 32}.pdf"]
)
def test_only_names_that_the_store_made_lead_to_a_file(name: str) -> None:
    bills.keep(PDF)
    with pytest.raises(FileNotFoundError):
        bills.path(name)


def a_delivery(bill: bytes | None = None) -> Delivery:
    line = factories.line(factories.material("ALUM"))
    return deliveries.record(supplier=factories.supplier(), on=DAY, lines=[line], bill=bill)


@pytest.mark.django_db
def test_bill_is_added_on_the_page_and_handed_out_shut_off(store: Path) -> None:
    made, client = a_delivery(), signed_in(factories.person("helper"))
    assert "No bill is kept" in text(client.get(f"/deliveries/{made.pk}/"))
    assert client.get(f"/deliveries/{made.pk}/bill/").status_code == 404
    bad = SimpleUploadedFile("bill.pdf", b"<html>", "application/pdf")
    refused = client.post(f"/deliveries/{made.pk}/bill/new/", {"bill": bad, "request_key": "a"})
    assert "A bill is a PDF or a photo" in text(refused)
    sent = SimpleUploadedFile("../../evil.html", PDF, "text/html")
    assert client.post(f"/deliveries/{made.pk}/bill/new/", {"bill": sent, "request_key": "b"}).status_code == 302
    answer = client.get(f"/deliveries/{made.pk}/bill/")
    assert (answer.content, answer["Content-Type"], answer["X-Content-Type-Options"]) == (
        PDF,
        "application/pdf",
        "nosniff",
    )
    assert answer["Content-Disposition"].startswith('attachment; filename="bill-')
    assert answer["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert "private" in answer["Cache-Control"]
    client.logout()
    assert client.get(f"/deliveries/{made.pk}/bill/").status_code == 302


@pytest.mark.django_db
def test_bill_of_a_cost_is_for_those_who_write_money() -> None:
    cost = expenses.spend(kind="overhead", amount=Decimal(10), on=DAY, bill=photo((300, 300)))
    helper, books = factories.person("helper"), signed_in(factories.person("bookkeeper"))
    assert signed_in(helper).get(f"/expenses/{cost.pk}/bill/").status_code == 403
    assert signed_in(helper).get(f"/expenses/{cost.pk}/bill/new/").status_code == 403
    shown = books.get(f"/expenses/{cost.pk}/bill/")
    assert (shown["Content-Type"], shown["Content-Disposition"][:6]) == ("image/jpeg", "inline")
    with pytest.raises(NotAllowed):
        expenses.attach(expense=cost, bill=PDF, by=helper)
    assert books.get(f"/expenses/{cost.pk}/bill/new/").status_code == 200
    expenses.attach(expense=cost, bill=PDF)
    assert Expense.objects.get().bill.endswith(".pdf")


@pytest.mark.django_db
def test_what_has_no_bill_is_listed() -> None:
    a_delivery(PDF)
    deliveries.record(supplier=factories.supplier("Shop"), on=DAY, lines=[factories.line(factories.material("SALT"))])
    expenses.spend(kind="overhead", amount=Decimal(10), on=DAY, words="power")
    expenses.spend(kind="overhead", amount=Decimal(12), on=DAY, words="telegraph", bill=PDF)
    client = signed_in()
    assert taxes.without_bill(period("2025-03")) == taxes.Unproved(deliveries=1, costs=1)
    costs, goods = text(client.get("/expenses/?bill=no")), text(client.get("/deliveries/?bill=no"))
    assert ("power" in costs, "telegraph" in costs) == (True, False)
    assert ("Shop" in goods.split("<table")[1], "Utuharju" in goods.split("<table")[1]) == (True, False)
    assert "Deliveries: 1" in text(client.get("/books/tax/?from=2025-03"))


@pytest.mark.django_db
def test_bills_are_saved_and_loaded(tmp_path: Path, store: Path) -> None:
    name = a_delivery(PDF).bill
    expenses.spend(kind="overhead", amount=Decimal(10), on=DAY, bill=photo())
    found = save(tmp_path / "saved")
    assert found.bills == 2
    there = {file.name: file.read_bytes() for file in (tmp_path / "saved" / "bills").iterdir()}
    assert set(there) == set(kept(store))
    bills.path(name).unlink()
    with pytest.raises(Refused, match=f"The bill {name} is missing"):
        save(tmp_path / "again")


FOLDER = {
    "workshop.csv": "key,value\nname,Sample\n",
    "suppliers.csv": "name\nShop\n",
    "materials.csv": "code,name,unit\nSALT,Salt,kg\n",
    "deliveries.csv": "date,supplier,material,packs,pack_quantity,pack_price,bill\n2025-03-04,Shop,SALT,1,25,11.50,one.pdf\n",
}


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("one.pdf", PDF, ""),
        ("one.pdf", b"<html>", "A bill is a PDF or a photo"),
        ("other.pdf", PDF, "bills/one.pdf is missing"),
    ],
)
def test_bill_of_a_folder_is_looked_at_like_an_upload(
    name: str, content: bytes, says: str, tmp_path: Path, store: Path
) -> None:
    folder = tmp_path / "folder"
    (folder / "bills").mkdir(parents=True)
    for file, words in FOLDER.items():
        (folder / file).write_text(words)
    (folder / "bills" / name).write_bytes(content)
    if not says:
        load(folder)
        assert kept(store) == [Delivery.objects.get().bill]
        return
    with pytest.raises(FolderRefused) as refusal:
        load(folder)
    assert says in str(refusal.value.problems[0])
    assert kept(store) == []


@pytest.mark.django_db
def test_bill_that_no_row_names_is_refused(tmp_path: Path, store: Path) -> None:
    folder = tmp_path / "folder"
    (folder / album.BILLS.name).mkdir(parents=True)
    for file, words in FOLDER.items():
        (folder / file).write_text(words)
    for name in ("one.pdf", "two.pdf"):
        (folder / "bills" / name).write_bytes(PDF)
    with pytest.raises(FolderRefused) as refusal:
        load(folder)
    assert "bills/two.pdf" in str(refusal.value.problems[0])
    assert kept(store) == []


@pytest.mark.django_db
def test_who_deducts_no_tax_is_not_asked_for_it() -> None:
    client = signed_in()
    pages = ("/deliveries/new/", "/skins/new/", "/expenses/new/")
    factories.material("ALUM")
    assert not any("tax_percent" in text(client.get(page)) for page in pages)
    workshop.set_up(name="Sample", deducts_tax=True)
    assert all("tax_percent" in text(client.get(page)) for page in pages)


@pytest.mark.django_db
def test_cost_and_skin_are_entered_with_the_tax_in_them() -> None:
    workshop.set_up(name="Sample", deducts_tax=True)
    client = signed_in()
    paid = {"kind": "overhead", "amount": "12,55", "tax_percent": "25,5", "on": "2025-03-04", "request_key": "a"}
    foreign = {"original_sum": "150", "original_currency": "sek"}
    assert client.post("/expenses/new/", {**paid, **foreign}).status_code == 302
    cost = Expense.objects.get()
    assert (cost.amount, cost.tax, cost.original_currency) == (Decimal("10.00"), Decimal("2.55"), "SEK")
    assert "150.00 SEK × 0.083667 = 12.55 €" in text(client.get("/expenses/"))
    said = {
        "tag": "H01",
        "species": "Sheep",
        "owner": "mine",
        "date_in": "2025-03-04",
        "price": "22.80",
        "tax_percent": "14",
    }
    answer = client.post("/skins/new/", {**said, "another": "on", "request_key": "b"})
    skin = Skin.objects.get()
    assert (skin.price, skin.tax) == (Decimal("20.00"), Decimal("2.80"))
    like = text(client.get(answer["Location"]))
    assert 'value="22.8"' in like
    assert 'value="14"' in like
