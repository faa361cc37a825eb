"""A month of a maker who buys and weighs by the pound, the ounce and the gallon: on paper, on the page and in files."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from fractions import Fraction
from io import StringIO

import pytest
from django.core.management import call_command
from hypothesis import given, settings, strategies as st

from costing.report.usage import report as usage_report
from inventory import units
from inventory.base.accounting import services as workshop
from inventory.money import ZERO, from_steps
from inventory.report import Cell, Cells, Table
from inventory.units import from_base
from tests import factories as make
from tests.workshop.documents import reading
from workshop.reports import pdf

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 4, 2))


def pounds() -> None:
    """Salt by the pound in four sacks of ten, used seven times a pound; oil by the gallon; lace by the foot."""
    salt = make.material("SALT", "lb", on_hand=40, value=20, on=date(2025, 2, 1))
    make.receive(salt, "40.5", 22, on=date(2025, 3, 3))
    for day in range(4, 11):
        make.take(salt, 1, on=date(2025, 3, day))
    make.take(salt, "0.333", on=date(2025, 3, 12))
    oil = make.material("OIL", "us_gallon", on_hand=5, value=90, on=date(2025, 2, 1))
    for day in range(4, 9):
        make.take(oil, "0.125", on=date(2025, 3, day))
    lace = make.material("LACE", "foot", on_hand=100, value=30, on=date(2025, 2, 1))
    make.take(lace, "33.25", on=date(2025, 3, 5))


def rows() -> dict[str, Cells]:
    return {str(row["material"]): row for row in usage_report.month("2025-03").table("lines").rows}


def test_a_month_of_pounds_is_printed_with_the_figures_that_were_typed() -> None:
    pounds()
    said = reading.words(pdf.render(usage_report.month("2025-03")))
    assert "40.000 20.00 40.500 22.00 7.333" in said, "the opening, what came and what was used, as typed"
    assert "73.167 " in said, "the closing is what is left of them"
    assert "5.000 90.00 0.000 0.00 0.625 11.25 0.000 0.00 4.375" in said
    assert "100.00 30.00 0.00 0.00 33.25" in said


def test_what_a_month_of_pounds_shows_adds_up_in_pounds() -> None:
    pounds()
    for code, row in rows().items():
        opening, came, used, other, closing = (
            from_base(row[key], str(row["unit"]))  # type: ignore[arg-type]
            for key in ("opening", "in", "used", "other", "closing")
        )
        assert opening + came - used - other == closing, code


def test_the_answer_for_programs_says_pounds_exactly() -> None:
    pounds()
    out = StringIO()
    call_command("usage", "2025-03", "--json", stdout=out)
    salt = next(row for row in json.loads(out.getvalue())["lines"] if row["material"] == "SALT")
    assert (salt["opening"], salt["in"], salt["used"], salt["closing"]) == ("40", "40.5", "7.333", "73.167")
    assert salt["unit"] == "lb"


KINDS = ("lb", "oz", "us_gallon", "foot", "kg", "yard", "us_teaspoon", "piece")
held = st.integers(0, 10**8)


@settings(deadline=None)
@given(st.sampled_from(KINDS), held, held, st.integers(0, 10**8), st.integers(-(10**5), 10**5))
def test_what_a_month_shows_of_a_material_adds_up_as_shown(
    unit: str, opening: int, came: int, used: int, other: int
) -> None:
    """opening + received - used - other = closing, in what is printed, and nothing is further from the exact than a digit."""
    amounts = [from_steps(each, 3) for each in (opening, came, used, other)]
    row: dict[str, Cell] = {
        "opening": amounts[0],
        "in": amounts[1],
        "used": amounts[2],
        "other": amounts[3],
        "change": -amounts[3],
        "closing": amounts[0] + amounts[1] - amounts[2] - amounts[3],
        "unit": unit,
    }
    money = {key: ZERO for rule in usage_report.ADDS_UP for part in rule if (key := part.removeprefix("-")) not in row}
    table = Table("lines", "", usage_report.FLOWS, (), adds_up=usage_report.ADDS_UP)
    read = table.read({**row, **money})
    assert read["opening"] + read["in"] - read["used"] - read["other"] == read["closing"]
    assert read["opening"] + read["in"] - read["used"] + read["change"] == read["closing"]
    places = units.decimals(read["closing"])
    assert {units.decimals(each) for each in read.values()} == {places}
    for key, each in read.items():
        value = row[key]
        assert isinstance(value, Decimal)
        assert abs(Fraction(value) / units.ratio(unit) - Fraction(each)) < 2 * Fraction(1, 10**places)
