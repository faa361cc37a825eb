"""The shipped headings against the forms, where their words were read. Lines that are from memory are not asserted."""

from __future__ import annotations

from costing.sell.headings.shipped import FORMS, KINDS, STOCK

# HMRC, SA103S Self-employment (short) 2023-24, boxes 11, 12 and 14 to 19: words as printed on pages 1 and 2.
SA103S = {
    "11": "Costs of goods bought for resale or goods used",
    "12": "Car, van and travel expenses",
    "13": "Wages, salaries and other staff costs",
    "14": "Rent, rates, power and insurance costs",
    "15": "Repairs and maintenance of property and equipment",
    "16": "Accountancy, legal and other professional fees",
    "17": "Interest and bank and credit card financial charges",
    "18": "Phone, fax, stationery and other office costs",
    "19": "Other allowable business expenses",
}


def test_the_boxes_of_sa103s_have_their_words() -> None:
    assert {row.line: row.words for row in FORMS["UK SA103S"].headings} == SA103S


def test_the_cost_of_goods_of_schedule_c_stands_in_line_4() -> None:
    """Schedule C (Form 1040) 2025, line 4, read in explainer pages of the tax year 2025."""
    form = FORMS["US Schedule C (Form 1040)"]
    assert [(row.line, row.words) for row in form.headings if STOCK in row.kinds] == [
        ("4", "Cost of goods sold (from line 42)")
    ]
    assert "from memory" in form.note


def test_no_kind_stands_under_two_headings_of_a_form() -> None:
    for form in FORMS.values():
        named = [kind for row in form.headings for kind in row.kinds]
        assert len(named) == len(set(named))
        assert set(named) <= {*KINDS, STOCK}
