"""What a file leaves open is asked, once for the whole file, and an answer settles it."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from costing.models import Expense
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from inventory.models import Delivery, DeliveryLine, Material
from tests import factories as make
from tests.workshop.setup.bring.sheets import as_csv, workbook
from workshop.setup.bring.bringing import Brought, bring

pytestmark = pytest.mark.django_db
HEADS = ("Date", "Item", "Qty", "Cost", "Supplier")


@pytest.fixture(autouse=True)
def _dollars() -> None:
    workshop.set_up(name="Hides", currency="USD")


def brought(*rows: Any, heads: Any = HEADS, **given: Any) -> Brought:
    return bring(as_csv(heads, *rows), "a.csv", **given)


def _open(found: Brought) -> list[str]:
    return [question.name for question in found.open]


def test_dates_that_could_be_two_days_are_asked_about_once() -> None:
    rows = [("1/5/2024", "Alum", "1 lb", "3", "Ann"), ("2/6/2024", "Salt", "1 lb", "3", "Ann")]
    assert _open(brought(*rows)) == ["date_order"]
    assert brought(*rows, answers={"date_order": "d"}).done
    assert [str(row.on) for row in Delivery.objects.order_by("on")] == ["2024-05-01", "2024-06-02"]


def test_one_date_that_decides_settles_the_order_of_all() -> None:
    found = brought(("1/5/2024", "Alum", "1 lb", "3", "Ann"), ("1/25/2024", "Salt", "1 lb", "3", "Ann"))
    assert found.done
    assert str(Delivery.objects.earliest("on").on) == "2024-01-05"


def test_a_lone_group_of_three_figures_is_asked_about_unless_its_column_tells() -> None:
    rows = [("2024-01-05", "Knife", "1 piece", "1,250", "Ann")]
    assert _open(brought(*rows)) == ["decimal"]
    assert brought(*rows, answers={"decimal": "."}).done
    assert DeliveryLine.objects.get().pack_price == Decimal(1250)
    told = brought(("2024-02-05", "Beam", "1 piece", "1.250", "Ann"), ("2024-02-05", "Beam", "1 piece", "3,50", "Ann"))
    assert told.done
    assert sorted(line.pack_price for line in DeliveryLine.objects.all()) == [Decimal("3.50"), 1250, 1250]


def test_a_gallon_is_asked_about_because_there_are_two() -> None:
    rows = [("2024-01-05", "Oil", "1 gal", "30", "Ann")]
    assert _open(brought(*rows)) == ["unit:gal"]
    assert brought(*rows, answers={"unit:gal": "us_gallon"}).done
    assert Material.objects.get().unit == "us_gallon"


def test_two_currencies_in_a_column_are_named_cell_by_cell() -> None:
    found = brought(("2024-01-05", "Alum", "1 lb", "$3.00", "Ann"), ("2024-01-06", "Alum", "1 lb", "£3.00", "Ann"))
    assert not found.done
    assert [(doubt.row, doubt.value) for doubt in found.doubts] == [(3, "£3.00")]
    assert "not in USD" in found.doubts[0].why


def test_the_unit_of_a_column_may_stand_in_its_head() -> None:
    assert brought(
        ("2024-01-05", "Alum", "15", "3", "Ann"), heads=("Date", "Item", "Qty (lbs)", "Cost", "Supplier")
    ).done
    assert Material.objects.get().unit == "lb"


def test_what_is_no_stock_becomes_a_cost() -> None:
    rows = [("2024-01-05", "Booth", "1 piece", "80", "Town")]
    assert brought(*rows, answers={"material:booth": "cost:pitch"}).done
    assert (Expense.objects.get().kind, Expense.objects.get().amount) == ("pitch", 80)
    assert not Material.objects.exists()


def test_a_word_is_taken_for_the_material_that_is_meant() -> None:
    alum = make.material("ALUM", unit="lb")
    assert brought(("2024-01-05", "alum powder", "15 lb", "3", "Ann"), answers={"material:alum powder": "ALUM"}).done
    alum.refresh_from_db()
    assert alum.value == 3


def test_a_service_that_refuses_names_the_row_and_nothing_stays() -> None:
    from datetime import date

    workshop.close_books(to=date(2024, 1, 31))
    found = brought(("2024-01-05", "Alum", "1 lb", "3", "Ann"), ("2024-02-05", "Salt", "1 lb", "3", "Ann"))
    assert not found.done
    assert [doubt.row for doubt in found.doubts] == [2]
    assert "closed to 2024-01-31" in found.doubts[0].why
    assert not Material.objects.exists()
    left = brought(
        ("2024-01-05", "Alum", "1 lb", "3", "Ann"),
        ("2024-02-05", "Salt", "1 lb", "3", "Ann"),
        answers={"doubtful": "leave"},
    )
    assert (left.done, left.written, left.left_out) == (True, 1, 1)
    assert [row.name for row in Material.objects.all()] == ["Salt"]


def test_a_row_that_was_put_right_comes_the_next_time_and_the_others_do_not() -> None:
    first = [("2024-01-05", "Alum", "1 lb", "3", "Ann"), ("2024-01-06", "Salt", "a bag", "3", "Ann")]
    assert brought(*first, answers={"doubtful": "leave"}).written == 1
    again = brought(first[0], ("2024-01-06", "Salt", "25 lb", "3", "Ann"))
    assert (again.written, again.before) == (1, 1)


def test_the_same_rows_as_a_workbook_are_the_same() -> None:
    from datetime import date

    assert brought(("2024-01-05", "Alum", "15 lb", "$35.00", "Ann")).written == 1
    again = bring(workbook(HEADS, (date(2024, 1, 5), "alum", "15 lb", 35, "Ann")), "b.xlsx")
    assert (again.written, again.before) == (0, 1)


def test_an_answer_that_is_none_is_refused() -> None:
    with pytest.raises(Refused, match="“x” is no answer to date_order"):
        brought(("1/5/2024", "Alum", "1 lb", "3", "Ann"), answers={"date_order": "x"})


def test_a_sheet_without_heads_is_refused_with_what_to_do() -> None:
    with pytest.raises(Refused, match="No row of column heads"):
        bring(as_csv(("only", "words"), ("here", "and there")), "a.csv")


def test_roles_are_held_by_the_services() -> None:
    rows = as_csv(("Date", "What", "Price"), ("2024-01-05", "Mat", "80"))
    with pytest.raises(NotAllowed):
        bring(rows, "a.csv", into="sales", answers={"paid": "cash"}, by=make.person("helper"))
