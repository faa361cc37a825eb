"""The shopping list as a file: on the workshop's paper, or for a spreadsheet without a text that it would run."""

from __future__ import annotations

import csv
import io
import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from pypdf import PdfReader

from inventory.models import Material

pytestmark = [pytest.mark.django_db, pytest.mark.slow]


def said(*words: str) -> str:
    out = StringIO()
    call_command("restock", *words, stdout=out)
    return out.getvalue()


def test_the_paper_has_the_line_with_its_sum(demo: None, tmp_path: Path) -> None:
    path = tmp_path / "list.pdf"
    assert said("--list", str(path)) == f"Wrote the shopping list with 1 line to {path}.\n"
    page = PdfReader(path).pages[0]
    words = page.extract_text()
    for part in ("Shopping list", "Utuharju Chemicals", "Potash alum", "one 2 kg pack", "11.60", "Order today"):
        assert part in words, part
    # The drawing of the page, on paper.
    assert "1.36 kg short if nothing is ordered" in words
    assert round(float(page.mediabox.width)) == 595  # A4


def test_the_file_has_a_row_for_each_line_and_marks_a_formula(demo: None, tmp_path: Path) -> None:
    Material.objects.filter(code="ALUMK").update(name="=1+1")
    path = tmp_path / "list.CSV"
    assert json.loads(said("--list", str(path), "--json"))["lines"] == "1"
    (row,) = csv.DictReader(io.StringIO(path.read_text("utf-8")))
    assert row == {
        "supplier": "Utuharju Chemicals",
        "material": "ALUMK",
        "name": "'=1+1",
        "when": "now",
        "order_by": "2025-12-31",
        "state": "order_now",
        "packs": "1",
        "pack": "2",
        "quantity": "2",
        "unit": "kg",
        "goods": "11.60",
        "currency": "EUR",
    }


@pytest.mark.parametrize("name", ["list.txt", "list", "missing/list.pdf"])
def test_a_file_that_cannot_be_is_refused(demo: None, tmp_path: Path, name: str) -> None:
    with pytest.raises(CommandError, match=r"\.pdf or \.csv|no folder"):
        said("--list", str(tmp_path / name))
    assert list(tmp_path.iterdir()) == []


def test_the_pages_give_the_same_files(demo: None, client: Client) -> None:
    paper, file = client.get("/shelf/to-order.pdf?sheet=letter"), client.get("/shelf/to-order.csv")
    assert round(float(PdfReader(io.BytesIO(paper.content)).pages[0].mediabox.width)) == 612
    assert file.content.decode().splitlines()[1].startswith("Utuharju Chemicals,ALUMK,Potash alum,now,2025-12-31")
    assert "shopping-list-2025-12-31.csv" in file["Content-Disposition"]
