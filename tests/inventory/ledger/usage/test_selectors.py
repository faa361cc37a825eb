from __future__ import annotations

from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from inventory.errors import Refused
from inventory.ledger import selectors as books, services as ledger
from inventory.ledger.usage import selectors as usage
from inventory.models import Kind, Material
from tests.factories import material, receive, take

pytestmark = pytest.mark.django_db
D = Decimal
JAN, FEB, MAR = date(2025, 1, 10), date(2025, 2, 10), date(2025, 3, 10)
NEW_YEAR = usage.month_of(JAN)


def flow(of: Material, month: int) -> usage.Flow:
    return next(each for each in usage.flows(month) if each.code == of.code)


def columns(each: usage.Flow) -> list[tuple[Decimal, Decimal]]:
    return [each.opening, each.received, each.used, each.other, each.closing]


def test_a_month_is_a_number_that_counts_on_over_the_year() -> None:
    assert usage.month_number("2025-01") == 24300 == usage.month_of(date(2025, 1, 31))
    assert usage.month_number("2025-12") + 1 == usage.month_number("2026-01")
    assert usage.month_text(24300) == "2025-01"


@pytest.mark.parametrize("text", ["", "2025", "2025-13", "2025-00", "25-01", "2025-1", "2025/01", "٢٠٢٥-٠١", "0000-01"])
def test_what_is_no_month_is_refused(text: str) -> None:
    with pytest.raises(Refused, match="Write year and month as 2025-01"):
        usage.month_number(text)


def test_opening_stock_opens_its_own_month_and_the_rest_has_its_column() -> None:
    alum = material(on_hand=1, value="4.00", on=JAN)
    receive(alum, 2, "11.00", JAN)
    take(alum, "0.5", JAN)
    take(alum, "0.25", JAN, Kind.SPOILED)
    take(alum, "0.25", JAN, Kind.SOLD)
    assert columns(flow(alum, NEW_YEAR)) == [
        (D(1000), D("4.00")),
        (D(2000), D("11.00")),
        (D(500), D("2.50")),
        (D(500), D("2.50")),
        (D(2000), D("10.00")),
    ]


def test_a_count_that_found_more_is_a_negative_other() -> None:
    alum = material(on_hand=1, value="4.00", on=JAN)
    ledger.count(on=JAN, material=alum, counted=D(1500))
    assert columns(flow(alum, NEW_YEAR))[3:] == [(D(-500), D("-2.00")), (D(1500), D("6.00"))]


def test_what_was_taken_back_in_its_month_was_not_used() -> None:
    alum = material(on_hand=1, value="4.00", on=JAN)
    ledger.reverse(posting=take(alum, 1, JAN), reason="x")
    assert columns(flow(alum, NEW_YEAR))[2] == (0, 0)


def test_what_was_taken_back_later_lowers_the_use_of_the_later_month() -> None:
    alum = material(on_hand=1, value="4.00", on=JAN)
    ledger.reverse(posting=take(alum, 1, JAN), reason="x", on=FEB)
    assert columns(flow(alum, NEW_YEAR))[2] == (D(1000), D("4.00"))
    assert columns(flow(alum, NEW_YEAR + 1))[2:] == [(D(-1000), D("-4.00")), (0, 0), (D(1000), D("4.00"))]


def test_each_month_closes_where_the_next_opens_and_where_the_ledger_stands() -> None:
    alum = material(on_hand=1, value="4.00", on=JAN)
    receive(alum, 2, "11.00", FEB)
    take(alum, "0.7", FEB)
    ledger.count(on=MAR, material=alum, counted=D(2100))
    ledger.reverse(posting=take(alum, "0.3", MAR), reason="x")
    for month, end in ((NEW_YEAR, date(2025, 1, 31)), (NEW_YEAR + 1, date(2025, 2, 28)), (NEW_YEAR + 2, MAR)):
        here = flow(alum, month)
        assert here.closing == books.balances(end)[alum.pk]
        after = flow(alum, month + 1)
        assert here.closing == after.opening


def test_a_material_that_is_not_there_and_did_not_move_is_left_out() -> None:
    material("SALT")
    alum = material(on_hand=1, on=FEB)
    assert usage.flows(NEW_YEAR) == []
    assert [each.code for each in usage.flows(NEW_YEAR + 1)] == [alum.code]


def test_use_by_month_names_the_months_without_use() -> None:
    alum = material(on_hand=2, value="8.00", on=JAN)
    salt = material("SALT", on_hand=1, value="1.00", on=JAN)
    take(alum, 1, JAN)
    take(alum, "0.5", MAR)
    take(salt, 1, MAR)
    assert usage.used_by_month(NEW_YEAR, NEW_YEAR + 2) == {24300: D("4.00"), 24301: 0, 24302: D("3.00")}
    assert usage.months_with_entries() == [24302, 24300]


@pytest.mark.thorough
@pytest.mark.slow
def test_a_month_takes_as_many_queries_for_thirty_materials_as_for_one(
    django_assert_num_queries: Callable[[int], CaptureQueriesContext],
) -> None:
    take(material("M0", on_hand=2, value=2, on=JAN), 1, FEB)
    with CaptureQueriesContext(connection) as one:
        usage.flows(NEW_YEAR + 1)
    for number in range(1, 31):
        take(material(f"M{number}", on_hand=2, value=2, on=JAN), 1, FEB)
    with django_assert_num_queries(len(one)):
        assert len(usage.flows(NEW_YEAR + 1)) == 31
