"""The page of the tax report and its files."""

from __future__ import annotations

from io import BytesIO

import pytest
from openpyxl import load_workbook

from tests import factories
from tests.costing.report.tax.test_report import european, on
from tests.inventory.pages import queries, signed_in, text

pytestmark = pytest.mark.django_db


def test_page_shows_what_is_due_and_where_the_files_are() -> None:
    european()
    client = signed_in(factories.person("bookkeeper"))
    page = text(client.get("/books/tax/?from=2025-01-01&to=2025-03-31"))
    for words in ("27.40 €", "11.67 €", "15.73 €", "Export, art. 146", "deposit received", "INV-001", "25.5 %"):
        assert words in page
    assert "?from=2024-10-01&amp;to=2024-12-31" in page
    assert "Tax report" in text(client.get("/books/"))
    for ending, starts in (("csv", b"rate,reason,net"), ("pdf", b"%PDF"), ("xlsx", b"PK")):
        answer = client.get(f"/books/tax/2025-01-01..2025-03-31.{ending}")
        assert answer.content.startswith(starts)
    book = load_workbook(BytesIO(answer.content))
    assert book.sheetnames[:2] == ["What is due", "Sales by rate"]
    assert book["Sales by rate"]["A2"].value == 25.5


def test_period_backwards_is_answered_and_this_quarter_shown() -> None:
    page = signed_in().get("/books/tax/?from=2025-03-02&to=2025-03-01")
    assert "The period runs backwards: 2025-03-02 is after 2025-03-01. Put the earlier day first." in text(page)
    assert "no day, month or quarter" in text(signed_in().get("/books/tax/?from=March&to="))
    assert signed_in().get("/books/tax/2025-03-02..2025-03-01.pdf").status_code == 302  # back, with the words


@pytest.mark.thorough
@pytest.mark.slow
def test_questions_to_the_database_do_not_grow() -> None:
    european()
    client = signed_in()
    few = queries(client, "/books/tax/?from=2025")
    for number in range(20, 30):
        factories.sale(factories.article(f"A{number}", on=on(5, 1), price=2), asked=50, on=on(5, 2))
        factories.delivery(factories.line(factories.material(f"M{number}")), on=on(5, 3))
    assert queries(client, "/books/tax/?from=2025") == few
