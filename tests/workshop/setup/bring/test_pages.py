"""The pages: a file is sent in, answered on one page, and brought in; the same from the command line."""

from __future__ import annotations

import json
from datetime import date
from io import StringIO
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.db import transaction
from django.test import Client
from django.urls import reverse

from inventory.base.accounting import services as workshop
from inventory.models import Delivery, SheetHeads, WaitingSheet
from tests import factories as make
from tests.inventory.pages import signed_in
from tests.workshop.setup.bring.sheets import as_csv, messy
from workshop.setup.bring import bringing
from workshop.setup.bring.bringing import bring
from workshop.transfer.loading import load
from workshop.transfer.saving import save

pytestmark = pytest.mark.django_db
ROWS = (("Date", "Item", "Qty", "Cost", "Supplier"), ("1/5/2024", "Alum", "15 lb", "$35.00", "Ann"))


@pytest.fixture
def page(db: None) -> Client:
    workshop.set_up(name="Hides", currency="USD")
    return signed_in()


def _send(page: Client, content: bytes, name: str = "buying.xlsx", into: str = "") -> str:
    file = SimpleUploadedFile(name, content)
    sent = page.post(reverse("bring"), {"file": file, "into": into, "request_key": "k"})
    assert sent.status_code == 302, sent.content.decode()
    return str(sent["Location"])


@pytest.mark.thorough
def test_a_messy_file_takes_one_page(page: Client) -> None:
    at = _send(page, messy())
    shown = page.get(at).content.decode()
    assert "Amounts without a unit are" in shown
    assert "a bag" in shown
    sent = page.post(
        at,
        {
            "was": "purchases",
            "answer:into": "purchases",
            "answer:unit": "own",
            "answer:supplier": "Unknown",
            "answer:doubtful": "leave",
        },
    )
    assert sent.status_code == 302
    assert Delivery.objects.count() == 8
    assert not WaitingSheet.objects.exists()
    assert '"supplier": "Unknown"' in SheetHeads.objects.get().answers
    assert "8 purchases brought in. 3 rows left out." in page.get(sent["Location"]).content.decode()


@pytest.mark.thorough
def test_an_unanswered_page_comes_back_and_writes_nothing(page: Client) -> None:
    at = _send(page, messy())
    sent = page.post(at, {"was": "purchases", "answer:into": "purchases", "answer:unit": "own"})
    assert sent.status_code == 200
    assert "Answer this: Supplier where none is named." in sent.content.decode()
    assert not Delivery.objects.exists()


def test_show_again_writes_nothing(page: Client) -> None:
    at = _send(page, as_csv(*ROWS), "a.csv")
    sent = page.post(at, {"was": "purchases", "answer:into": "purchases", "answer:date_order": "m", "look": "1"})
    assert "2024-01-05" in sent.content.decode()
    assert not Delivery.objects.exists()


def test_another_kind_is_shown_before_it_is_written(page: Client) -> None:
    at = _send(page, as_csv(*ROWS), "a.csv")
    sent = page.post(at, {"was": "purchases", "answer:into": "skins", "answer:date_order": "m"})
    assert sent.status_code == 200
    assert not Delivery.objects.exists()


def test_a_file_that_cannot_be_read_is_refused_beside_its_box(page: Client) -> None:
    sent = page.post(reverse("bring"), {"file": SimpleUploadedFile("a.xls", b"\xd0\xcf\x11\xe0xx"), "request_key": "k"})
    assert "locked with a password or in the old .xls format" in sent.content.decode()
    assert not WaitingSheet.objects.exists()


def test_what_was_sent_in_is_for_nobody_else_and_comes_once(page: Client) -> None:
    at = _send(page, as_csv(*ROWS), "a.csv")
    other = Client()
    other.force_login(make.person("bookkeeper"))
    assert other.get(at).status_code == 302
    answers = {"was": "purchases", "answer:into": "purchases", "answer:date_order": "m"}
    page.post(at, answers)
    page.post(at, answers)  # a second tap
    assert Delivery.objects.count() == 1


def test_a_name_with_markup_is_shown_as_text(page: Client) -> None:
    at = _send(
        page,
        as_csv(("Date", "<b>Item</b>", "Qty", "Cost"), ("2024-01-05", "<script>x</script>", "1 lb", "3")),
        "<i>.csv",
    )
    shown = page.get(at).content.decode()
    assert "<script>x" not in shown
    assert "<b>Item" not in shown


@pytest.mark.thorough
def test_the_command_asks_then_brings_in(page: Client, tmp_path: Path) -> None:
    file = tmp_path / "buying.csv"
    file.write_bytes(as_csv(*ROWS))
    with pytest.raises(
        CommandError, match=r"--answer 'date_order=…', one of d \(day, month, year\)(.|\n)*Nothing was written"
    ):
        call_command("bring", str(file))
    out = StringIO()
    call_command("bring", str(file), "--answer", "date_order=m", "--dry-run", stdout=out)
    assert "Nothing was written: a dry run." in out.getvalue()
    assert not Delivery.objects.exists()
    out = StringIO()
    call_command("bring", str(file), "--answer", "date_order=m", "--json", stdout=out)
    assert json.loads(out.getvalue())["written"] == 1
    out = StringIO()
    call_command("bring", str(file), "--as-before", stdout=out)
    assert "1 here already" in out.getvalue()
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("bring", str(tmp_path / "none.csv"))


@pytest.mark.thorough
def test_what_came_and_what_was_answered_survive_save_and_load(page: Client, tmp_path: Path) -> None:
    with transaction.atomic():
        assert bring(as_csv(*ROWS), "a.csv", answers={"date_order": "m"}).done
        save(tmp_path / "saved")
        transaction.set_rollback(True)
    load(tmp_path / "saved")
    again = bring(as_csv(*ROWS), "a.csv", as_before=True)
    assert (again.done, again.written, again.before) == (True, 0, 1)


@pytest.mark.thorough
def test_a_long_file_is_tried_row_by_row_only_when_it_is_brought_in(
    page: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(bringing, "TRIED_ROWS", 0)
    workshop.close_books(to=date(2024, 1, 31))
    at = _send(page, as_csv(ROWS[0], ("2024-01-05", "Alum", "15 lb", "3", "Ann")), "a.csv")
    assert "closed to" not in page.get(at).content.decode()
    sent = page.post(at, {"was": "purchases", "answer:into": "purchases"})
    assert "closed to 2024-01-31" in sent.content.decode()
    assert not Delivery.objects.exists()
