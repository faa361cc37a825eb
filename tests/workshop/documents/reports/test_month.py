from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.workshop.documents import reading
from tests.workshop.documents.examples import UNBROKEN, month_line, month_report
from workshop.documents.kit.errors import DoesNotAddUp
from workshop.documents.reports import month
from workshop.documents.reports.month import BatchUse


def test_a_report_shows_each_material_and_the_sums_to_the_cent() -> None:
    said = reading.words(month.render(month_report()))
    assert "Materials, January 2025" in said
    assert "12.00 5.40 50.00 28.98 6.72 3.73 0.00 0.00 55.28 30.65" in said
    assert "40 4.40 100 11.90 20 2.33 −2 −0.23 118 13.74" in said
    assert "All materials, value in EUR 12.50 55.50 15.66 −0.23 52.11" in said
    assert "printed 3 Feb 2025" in said


def test_what_was_used_on_no_batch_is_named() -> None:
    said = reading.words(month.render(month_report()))
    assert "B1 Potash alum 1.44 kg 9.60" in said
    assert "Total 13.33" in said
    assert "On no batch 2.33" in said


def test_nothing_is_said_of_other_use_when_every_use_has_its_batch() -> None:
    report = month_report()
    gloves = BatchUse("B1", "Gloves", "pc", Decimal(20), Decimal("2.33"))
    assert "On no batch" not in reading.words(month.render(replace(report, by_batch=(*report.by_batch, gloves))))


@pytest.mark.parametrize("what", ["quantity", "value"])
def test_a_line_that_does_not_add_up_is_refused(what: str) -> None:
    line = month_report().lines[0]
    field = "quantities" if what == "quantity" else "values"
    *rest, closing = getattr(line, field)
    with pytest.raises(DoesNotAddUp, match=rf"SALT Fine salt, non-iodised: .* a {what} of") as refused:
        replace(line, **{field: (*rest, closing + Decimal("0.01"))})
    assert refused.value.closing - refused.value.expected == Decimal("0.01")


@pytest.mark.slow
def test_a_long_report_repeats_its_head_and_counts_its_pages() -> None:
    paper = month.render(month_report(repeat=20))
    pages = reading.pages(paper)
    assert len(pages) > 2
    for index, page in enumerate(pages, start=1):
        assert f"page {index} of {len(pages)}" in page
        if "Fine salt, non-iodised" in page and "B1" not in page:
            assert "Opening Received Used Other Closing" in page
        if "B1 Potash alum" in page:
            assert "Used for Material Amount Value, EUR" in page
    assert reading.words(paper).count("SALT · kg") == 20
    reading.assert_printable(paper, margin_mm=10)


def test_the_sum_never_stands_alone_on_a_page() -> None:
    for repeat in (7, 8, 9):
        pages = reading.pages(month.render(replace(month_report(repeat=repeat), by_batch=())))
        page = next(page for page in pages if "All materials" in page)
        assert "GLOVE · pc" in page


def test_a_report_stands_upright_and_lies_down_for_wide_figures() -> None:
    assert reading.size_mm(month.render(month_report())) == (210, 297)
    wide = month.render(month_report(big="9123456789012.10 28.98 3.73 0.00"))
    assert reading.size_mm(wide) == (297, 210)
    assert "9,123,456,789,012.10" in reading.words(wide)
    reading.assert_printable(wide, margin_mm=10)


def test_a_report_is_printable_and_its_chart_is_vector() -> None:
    paper = month.render(month_report())
    reading.assert_printable(paper, margin_mm=10)
    assert "Used, by value" in reading.words(paper)
    assert "9.60 EUR" in reading.words(paper)
    assert not reading.pictures(paper)


def test_long_names_stay_in_their_column() -> None:
    report = month_report()
    line = month_line("X" * 20, UNBROKEN + " ÅÄÖ and more", "kg", "1 1 1 0", "1.00 1.00 1.00 0.00")
    paper = month.render(replace(report, lines=(line, *report.lines)))
    reading.assert_printable(paper, margin_mm=10)


def test_a_month_without_materials_says_so() -> None:
    said = reading.words(month.render(replace(month_report(), lines=(), by_batch=())))
    assert "Nothing was on the shelf" in said
    assert "page 1 of 1" in said


def test_the_same_month_gives_the_same_bytes() -> None:
    assert month.render(month_report()) == month.render(month_report())
