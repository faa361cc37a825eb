"""A month of many materials is shown in pages, each closed by the sums of all."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from costing.report.usage import report
from workshop.reports import views

pytestmark = pytest.mark.django_db
MONTH, FEW = "2025-03", 5


@pytest.fixture
def codes(client: Client, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The demonstration's materials in that month, by name; the first page has fewer."""
    monkeypatch.setattr(views, "MONTH_ROWS", FEW)
    found = [str(row["material"]) for row in report.month(MONTH).table("lines").rows]
    assert len(found) > 2 * FEW
    return found


def shown(client: Client, page: str) -> list[str]:
    answer = client.get(reverse("books"), {"month": MONTH, "page": page})
    rows = [str(row["material"]) for row in answer.context["materials"].rows]
    said = answer.content.decode()
    assert all(f'{reverse("material", args=[code])}"' in said for code in rows)
    assert answer.context["totals"] == report.month(MONTH).table("lines").sums()
    return rows


def test_each_page_has_its_rows_and_the_sums_of_all(client: Client, codes: list[str]) -> None:
    assert shown(client, "1") == codes[:FEW]
    assert shown(client, "2") == codes[FEW : 2 * FEW]
    first = client.get(reverse("books"), {"month": MONTH}).content.decode()
    assert f"?month={MONTH}&amp;page=2" in first
    assert f'{reverse("material", args=[codes[-1]])}"' not in first


@pytest.mark.parametrize("page", ["99", "0"])
def test_a_page_that_is_not_there_is_the_last(client: Client, codes: list[str], page: str) -> None:
    assert shown(client, page)[-1] == codes[-1]


def test_a_file_has_all_rows(client: Client, codes: list[str]) -> None:
    written = client.get(reverse("month_file", args=[MONTH, "csv"])).content.decode()
    assert [row.split(",")[1] for row in written.splitlines()[1 : 1 + len(codes)]] == codes


def test_a_month_of_one_page_has_no_pager(client: Client) -> None:
    assert "Pages of this list" not in client.get(reverse("books"), {"month": MONTH}).content.decode()
