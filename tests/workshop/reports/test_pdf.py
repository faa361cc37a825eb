"""Reports on paper: a month's material use and a stock sheet, short, long, wide and empty."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from costing.report.usage import report as usage_report
from costing.report.valuation.stock_sheet import report as stock_report, rules as stock_sheet
from costing.report.valuation.stock_sheet.rules import Counted, Group
from inventory.base.accounting import services as workshop
from inventory.money import ZERO
from inventory.report import Cells, DoesNotAddUp, Report
from tests.workshop.documents import reading
from tests.workshop.documents.examples import LONG_NUMBER, UNBROKEN
from workshop.documents.kit.page import A4, LETTER
from workshop.reports import pdf

pytestmark = pytest.mark.django_db
D = Decimal
GRAMS = {"kg": 1000, "piece": 1}


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 2, 3))


def flow(code: str, name: str, unit: str, amounts: str, values: str) -> Cells:
    """A material's row from "opening received used change" twice; the closings follow from them."""
    opening, came, used, change = (D(each) * GRAMS[unit] for each in amounts.split())
    row: dict[str, Decimal] = {"opening": opening, "in": came, "used": used, "other": -change, "change": change}
    row["closing"] = opening + came - used + change
    opening, came, used, change = map(D, values.split())
    row |= {"opening_value": opening, "in_value": came, "used_value": used}
    row |= {"other_value": -change, "change_value": change, "closing_value": opening + came - used + change}
    return {"month": "2025-01", "material": code, "name": name, "unit": unit, **row}


def batch_use(material: str, unit: str, quantity: str, value: str) -> Cells:
    return {"batch": "B1", "material": material, "unit": unit, "quantity": D(quantity) * GRAMS[unit], "value": D(value)}


SALT, ALUM = ("SALT", "Fine salt, non-iodised", "kg"), ("ALUMK", "Potash alum", "kg")
USES = (batch_use(*SALT[1:], "6.72", "3.73"), batch_use(*ALUM[1:], "1.44", "9.60"))


def flows(big: str = "5.40 28.98 3.73 0.00") -> tuple[Cells, ...]:
    return (
        flow(*SALT, "12 50 6.72 0", big),
        flow(*ALUM, "0.6 2 1.44 0", "2.70 14.62 9.60 0.00"),
        flow("GLOVE", "Gloves", "piece", "40 100 20 -2", "4.40 11.90 2.33 -0.23"),
    )


def month(rows: tuple[Cells, ...] | None = None, uses: tuple[Cells, ...] = USES) -> Report:
    found = flows() if rows is None else rows
    materials = usage_report.materials_table(found)
    used = materials.sums()["used_value"]
    sections = (materials, usage_report.batches_table(uses, used), usage_report.used_chart(materials))
    return Report("Materials, January 2025", "2025-01", "EUR", 2, sections)


def sheet() -> Report:
    lines = (
        Counted(Group.CONSUMABLES, "ALUMK Potash alum", D("0.56"), "kg", D("3.67"), place="Chemical shelf"),
        Counted(
            Group.FINISHED, "H03 rug, sheep", D(1), "piece", D("20.23"), D("15.00"), "Craft Room", with_others=True
        ),
        Counted(Group.CUSTOMERS, "H06 reindeer", D(1), "piece", ZERO),
    )
    return stock_report.of(stock_sheet.sheet(lines), date(2025, 12, 31))


def long_sheet() -> Report:
    numbers = [f"{LONG_NUMBER[:17]}{place:03d} {UNBROKEN}" for place in range(60)]
    lines = [
        Counted(Group.CONSUMABLES, name, D("1234567.123"), "kg", D("12450.00"), place=UNBROKEN) for name in numbers
    ]
    return stock_report.of(stock_sheet.sheet(lines), date(2025, 12, 31))


REPORTS: dict[str, Callable[[], Report]] = {"month": month, "sheet": sheet}
LONG: dict[str, Callable[[], Report]] = {"month": lambda: month(flows() * 20, USES * 20), "sheet": long_sheet}


@pytest.mark.parametrize("name", REPORTS)
def test_a_report_is_printable_and_the_same_twice(name: str) -> None:
    paper = pdf.render(REPORTS[name]())
    reading.assert_printable(paper, margin_mm=10)
    assert reading.size_mm(paper) == (210, 297)
    assert paper == pdf.render(REPORTS[name]())


@pytest.mark.slow
@pytest.mark.thorough
@pytest.mark.parametrize("name", LONG)
@pytest.mark.parametrize("size", [A4, LETTER])
def test_a_long_report_fits_its_pages_and_counts_them(name: str, size: object) -> None:
    paper = pdf.render(LONG[name](), A4 if size is A4 else LETTER)
    reading.assert_printable(paper, margin_mm=10)
    pages = reading.pages(paper)
    assert len(pages) > 1
    assert all(f"page {index} of {len(pages)}" in page for index, page in enumerate(pages, start=1))


def test_a_month_shows_each_material_and_the_sums_to_the_cent() -> None:
    said = reading.words(pdf.render(month()))
    assert "Materials, January 2025" in said
    assert "12.00 5.40 50.00 28.98 6.72 3.73 0.00 0.00 55.28 30.65" in said, "each amount with its value under it"
    assert "40 4.40 100 11.90 20 2.33 −2 −0.23 118 13.74" in said
    assert "All materials, value in EUR 12.50 55.50 15.66 −0.23 52.11" in said
    assert "printed 3 Feb 2025" in said


def test_what_was_used_on_no_batch_is_named() -> None:
    said = reading.words(pdf.render(month()))
    assert "B1 Potash alum 1.44 kg 9.60" in said
    assert "Total 13.33" in said
    assert "On no batch 2.33" in said


def test_nothing_is_said_of_other_use_when_every_use_has_its_batch() -> None:
    uses = (*USES, batch_use("Gloves", "piece", "20", "2.33"))
    assert "On no batch" not in reading.words(pdf.render(month(uses=uses)))


@pytest.mark.parametrize(("field", "what"), [("closing", "closing"), ("closing_value", "closing_value")])
def test_a_row_that_does_not_add_up_is_refused(field: str, what: str) -> None:
    row = flows()[0]
    stated = row[field]
    assert isinstance(stated, Decimal)
    with pytest.raises(DoesNotAddUp, match=rf"SALT Fine salt, non-iodised: .* a {what} of") as refused:
        month(({**row, field: stated + D("0.01")},))
    assert refused.value.stated - refused.value.expected == D("0.01")


@pytest.mark.slow
def test_a_long_month_repeats_its_head_and_carries_its_sums() -> None:
    paper = pdf.render(LONG["month"]())
    pages = reading.pages(paper)
    for page in pages:
        if "Fine salt, non-iodised" in page and "B1" not in page:
            assert "Opening Received Used Other Closing" in page
        if "B1 Potash alum" in page:
            assert "Used for Material Quantity Value, EUR" in page
    assert reading.words(paper).count("SALT · kg") == 20
    carried = [page.split("Carried over ")[1].split()[:5] for page in pages if "Carried over" in page]
    brought = [page.split("Brought forward ")[1].split()[:5] for page in pages if "Brought forward" in page]
    assert carried[0] == brought[0]


def test_the_sum_never_stands_alone_on_a_page() -> None:
    for repeat in (7, 8, 9):
        pages = reading.pages(pdf.render(month(flows() * repeat, ())))
        page = next(page for page in pages if "All materials" in page)
        assert "GLOVE · pc" in page


def test_a_month_stands_upright_and_lies_down_for_wide_figures() -> None:
    assert reading.size_mm(pdf.render(month())) == (210, 297)
    wide = pdf.render(month(flows("9123456789012.10 28.98 3.73 0.00")))
    assert reading.size_mm(wide) == (297, 210)
    assert "9 123 456 789 012.10" in reading.words(wide)
    reading.assert_printable(wide, margin_mm=10)


@pytest.mark.thorough
def test_a_months_chart_is_vector() -> None:
    paper = pdf.render(month())
    assert "Used, by value" in reading.words(paper)
    assert "9.60 €" in reading.words(paper)
    assert not reading.pictures(paper)


def test_long_names_stay_in_their_column() -> None:
    row = flow("X" * 20, UNBROKEN + " ÅÄÖ and more", "kg", "1 1 1 0", "1.00 1.00 1.00 0.00")
    reading.assert_printable(pdf.render(month((row, *flows()))), margin_mm=10)


def test_a_month_without_materials_says_so() -> None:
    said = reading.words(pdf.render(month((), ())))
    assert "Nothing was on the shelf" in said
    assert "page 1 of 1" in said


def test_a_stock_sheet_has_every_group_also_an_empty_one_and_both_values() -> None:
    said = reading.words(pdf.render(sheet()))
    assert "Consumables, 1 line 3.67 3.67" in said
    assert "Raw skins None" in said
    assert "H03 rug, sheep Craft Room on consignment 1 pc 20.23 15.00" in said
    assert "Total 23.90 18.67" in said
    assert "of which on consignment 20.23 15.00" in said
    assert "Customers' skins, 1 line 0.00 0.00" in said
    assert "Counted by" in said


def test_a_stock_sheet_that_does_not_add_up_is_refused() -> None:
    made = stock_sheet.sheet([Counted(Group.RAW, "H13", D(1), "piece", D("23.90"))])
    wrong = replace(made, total=replace(made.total, value=D("23.91")))
    with pytest.raises(DoesNotAddUp, match=r"value of 23\.90, the report says 23\.91"):
        stock_report.of(wrong, date(2025, 12, 31))
