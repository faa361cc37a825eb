"""The messy spreadsheet of three years is brought in with one page of answers, and once."""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.report.audit import selectors as audit
from inventory.base.accounting import services as workshop
from inventory.models import BroughtRow, Delivery, Material
from inventory.units import from_base
from tests.workshop.setup.bring.sheets import messy
from workshop.setup.bring.bringing import Brought, bring

pytestmark = pytest.mark.django_db
ANSWERS = {"unit": "own", "supplier": "Unknown", "doubtful": "leave"}


@pytest.fixture(autouse=True)
def _dollars() -> None:
    workshop.set_up(name="Hides", currency="USD")


def _asked(found: Brought) -> list[str]:
    return [question.name for question in found.open]


def test_only_what_the_file_cannot_tell_is_asked() -> None:
    found = bring(messy(), "buying.xlsx")
    assert not found.done
    assert (found.into, _asked(found)) == ("purchases", ["unit", "supplier"])
    assert not Delivery.objects.exists()


def test_three_years_come_in_with_one_page_of_answers() -> None:
    found = bring(messy(), "buying.xlsx", answers=ANSWERS)
    assert (found.done, found.written, found.left_out) == (True, 8, 3)
    held = {
        row.name: (round(from_base(row.on_hand, row.unit), 3), row.unit, row.value) for row in Material.objects.all()
    }
    assert held == {
        "Alum": (Decimal(40), "lb", Decimal("89.00")),
        "Salt": (Decimal(150), "lb", Decimal("40.50")),
        "Neatsfoot oil": (Decimal(1), "us_gallon", Decimal("1200.00")),
        "Bark": (Decimal("12.5"), "lb", Decimal("18.75")),
    }
    assert Delivery.objects.count() == 8  # each row is one event
    assert Delivery.objects.get(carriage=0, on="2022-06-20").supplier.name == "Unknown"
    assert audit.findings() == []


@pytest.mark.thorough
def test_every_doubtful_cell_is_named_with_its_place_and_why() -> None:
    found = bring(messy(), "buying.xlsx", answers={**ANSWERS, "doubtful": "mend"})
    assert not found.done
    assert [str(doubt) for doubt in found.doubts] == [
        "2024, row 3, column C, Qty “a bag”: “a bag” is not an amount",
        "2024, row 4, column D, Total “(12.50)”: “(12.50)” is below zero: enter what was returned or paid back by hand",
        "2024, row 5, column D, Total “€8.00”: “€8.00” is not in USD, the currency of the books: write what it came to in USD",
    ]
    assert not Delivery.objects.exists()
    assert not Material.objects.exists()


@pytest.mark.thorough
def test_nothing_is_passed_over_without_a_word() -> None:
    found = bring(messy(), "buying.xlsx")
    assert found.passed == [
        "2022, row 9: a row of sums",
        "2023, row 5: only “Spring” stands there",
        "2023, row 8: only “68” stands there",
    ]
    assert found.unread == ["Notes: no row of column heads"]


@pytest.mark.thorough
def test_twice_brings_nothing_twice_and_two_rows_alike_are_two() -> None:
    bring(messy(), "buying.xlsx", answers=ANSWERS)
    again = bring(messy(), "renamed.xlsx", answers=ANSWERS)
    assert (again.done, again.written, again.before) == (True, 0, 8)
    assert Delivery.objects.filter(on="2023-04-02").count() == 2


@pytest.mark.thorough
def test_answers_are_remembered_for_the_same_heads_and_used_when_asked_for() -> None:
    bring(messy(), "buying.xlsx", answers=ANSWERS)
    BroughtRow.objects.all().delete()  # as if the next file with these heads held other rows
    assert _asked(bring(messy(), "buying.xlsx")) == ["unit", "supplier"]
    assert _asked(bring(messy(), "buying.xlsx", as_before=True)) == []


def test_a_dry_run_writes_nothing() -> None:
    found = bring(messy(), "buying.xlsx", answers=ANSWERS, dry_run=True)
    assert (found.done, found.written) == (True, 8)
    assert not Delivery.objects.exists()
    assert not Material.objects.exists()
