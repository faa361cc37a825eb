"""What flows over pages: paragraphs, headings that stay with what they head, tables with sums carried over."""

from __future__ import annotations

import re
from collections import Counter
from decimal import Decimal
from typing import Any

import pytest

from tests.workshop.documents import reading
from workshop.documents.charts import charts
from workshop.documents.charts.picture import Picture
from workshop.documents.kit import counting, flow, table as kit_table
from workshop.documents.kit.page import A4
from workshop.documents.kit.table import Column, Table, TableRow
from workshop.documents.kit.text import TextTooLong

D = Decimal


def pages(story: list[Any]) -> list[str]:
    paper = flow.document(story, A4, title="Paper", author="Routamo Skins", foot="foot")
    reading.assert_printable(paper, margin_mm=10)
    return reading.pages(paper)


def table(amounts: list[Decimal], **options: Any) -> Table:
    columns: list[Column[Decimal]] = [
        Column("Thing", 50, lambda amount: f"thing {amount}"),
        Column("Amount", 20, amount=lambda amount: amount),
    ]
    return Table(columns, amounts, **options)


def test_every_page_says_which_of_how_many_it_is() -> None:
    found = pages([flow.words("word " * 40, before=9) for _ in range(60)])
    assert len(found) > 1
    assert all(page.endswith(f"foot page {at} of {len(found)}") for at, page in enumerate(found, start=1))


def test_a_paragraph_longer_than_a_page_runs_on_and_loses_no_word() -> None:
    found = pages([flow.words(" ".join(f"w{number}" for number in range(3000)))])
    assert len(found) > 1
    assert re.findall(r"\bw(\d+)\b", " ".join(found)) == [str(number) for number in range(3000)]


def test_a_soft_hyphen_is_not_printed_where_a_word_stays_whole() -> None:
    assert "lammastalja" in pages([flow.words("lammas\u00adtalja")])[0]


def test_signs_that_mean_something_to_a_markup_are_printed_as_they_are() -> None:
    assert "<b>Salt & alum</b> < 5 kg" in pages([flow.words("<b>Salt & alum</b> < 5 kg")])[0]


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("lines", range(50, 60))
def test_a_heading_never_stands_without_what_it_heads(lines: int) -> None:
    drawing = Picture(charts.bars([("drawn", D(1)), ("and more", D(2))]), "drawn 1; and more 2")
    for body in (flow.part("Heading", [drawing]), [table([D(1), D(2), D(3)], title="Heading")]):
        found = pages([*(flow.words("line") for _ in range(lines)), *body])
        page = next(page for page in found if "Heading" in page)
        assert "drawn" in page or "thing 1" in page


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize("before", [0, 20, 40])
@pytest.mark.parametrize("count", range(38, 44))
def test_sums_are_carried_over_and_what_closes_a_table_stands_with_its_last_row(before: int, count: int) -> None:
    amounts = [D(number) / 4 for number in range(1, count + 1)]
    closing = [flow.sums([("Total", str(sum(amounts)))])]
    found = pages([*(flow.words("line") for _ in range(before)), table(amounts, closing=closing)])
    read = 0
    for at, page in enumerate(found):
        mine = [D(text) for text in re.findall(r"thing ([\d.]+)", page)]
        assert mine == amounts[read : read + len(mine)]
        if read and mine:
            assert f"Thing Amount Brought forward {sum(amounts[:read])}" in page
        read += len(mine)
        if mine and read < count:
            assert f"Carried over {sum(amounts[:read])}" in page
        assert at == 0 or "Thing" in page or not mine
    assert read == count
    assert f"thing {amounts[-1]}" in next(page for page in found if "Total" in page)


@pytest.mark.thorough(but=2)
@pytest.mark.parametrize("count", range(34, 46))
def test_a_sum_never_stands_first_on_a_page(count: int) -> None:
    sums = [TableRow(("All", "9"), bold=True)]
    found = pages([table([D(number) for number in range(count)], sums=sums)])
    page = next(page for page in found if re.search(r"\bAll 9\b", page))
    assert f"thing {count - 1}" in page


def test_an_amount_that_is_not_known_is_left_open_and_counts_nothing() -> None:
    columns: list[Column[Decimal | None]] = [
        Column("Thing", 50, lambda amount: "thing"),
        Column("Amount", 20, amount=lambda amount: amount),
    ]
    found = pages([Table(columns, [D(1), None] * 40)])
    assert "Brought forward" in found[1]
    carried = re.search(r"Carried over (\d+)", found[0])
    assert carried
    assert int(carried[1]) == found[0].count("thing 1")


def test_what_no_page_holds_is_refused_by_its_name() -> None:
    tall = flow.beside([[flow.words("word " * 9000)]], [1])
    with pytest.raises(TextTooLong, match=r"A part of the list does not fit in 182 × 261 mm"):
        flow.document([tall], A4, title="Paper", author="", foot="", whole="list")


@pytest.mark.thorough(but=3)
@pytest.mark.parametrize("lines", range(40, 60))
def test_a_heading_stays_with_lines_that_are_kept_together(lines: int) -> None:
    to_write = flow.together(*(flow.line() for _ in range(6)))
    *_, last = pages([*(flow.words("line") for _ in range(lines)), *flow.part("Notes", [to_write])])
    assert "Notes" in last


def test_a_long_foot_takes_two_lines_and_keeps_what_stands_at_its_end() -> None:
    foot = f"{', '.join(['A maker of a long name indeed'] * 5)} · Invoice INV-004 · 21 Jun 2026"
    paper = flow.document([flow.words("word")], A4, title="Paper", author="Routamo", foot=foot)
    reading.assert_printable(paper, margin_mm=10)
    assert "Invoice INV-004 · 21 Jun 2026 page 1 of 1" in reading.words(paper)


def test_a_row_is_measured_once_however_many_pages_follow(monkeypatch: pytest.MonkeyPatch) -> None:
    """Else a list costs the square of its pages."""
    asked: list[object] = []
    right = kit_table._tall
    monkeypatch.setattr(kit_table, "_tall", lambda on, cell, width: asked.append(cell) or right(on, cell, width))
    assert len(pages([table([D(number) for number in range(400)])])) > 5
    assert len(asked) > 800
    assert set(Counter(map(id, asked)).values()) == {1}


def test_pages_are_counted_without_drawing_them() -> None:
    story = [flow.words("word " * 40, before=9) for _ in range(60)]
    assert counting.pages([*story], A4, title="Paper", author="Routamo Skins", foot="foot") == len(pages([*story]))
