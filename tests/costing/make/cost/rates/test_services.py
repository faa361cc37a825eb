"""Rates by day: what is refused, which hold when, and what is reckoned with those of which day."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest

from costing.make.cost.rates import rules as rollup, selectors as read, services as rates
from costing.make.cost.rates.models import EVER
from costing.make.labour import services as labour
from costing.make.losses import selectors as losses, services as loss_services
from costing.models import Rates
from costing.report.year.profit import selectors as results
from inventory.base.accounting import services as workshop
from inventory.errors import NotAllowed, Refused
from tests import factories

pytestmark = pytest.mark.django_db
D = Decimal


def test_nobody_set_rates_yet_and_all_are_nothing() -> None:
    assert read.plain() == rollup.Rates(D(0), D(0), D(0))
    assert not Rates.objects.exists()


def test_what_is_given_changes_and_the_rest_stays() -> None:
    rates.set_rates(wage_per_hour=D("16.00"), overhead_per_hour=D("4.00"), frame_wear=D("1.52"))
    row = rates.set_rates(vat_percent=D("25.5"), price_step=D("0.50"))
    assert read.plain() == rollup.Rates(D(16), D(4), D("1.52"))
    assert (row.vat_percent, row.price_step) == (D("25.5"), D("0.50"))


@pytest.mark.parametrize("name", ["wage_per_hour", "overhead_per_hour", "frame_wear", "price_step"])
@pytest.mark.parametrize("value", ["-0.01", "0.001", "NaN", "1e13"])
def test_a_rate_that_cannot_be_paid_is_refused(name: str, value: str) -> None:
    with pytest.raises(Refused) as refusal:
        rates.set_rates(**{name: D(value)})
    assert refusal.value.field == name
    assert not Rates.objects.exists()


@pytest.mark.parametrize("value", ["-1", "100.001", "25.5555", "NaN"])
def test_a_tax_rate_that_is_not_believable_is_refused(value: str) -> None:
    with pytest.raises(Refused) as refusal:
        rates.set_rates(vat_percent=D(value))
    assert refusal.value.field == "vat_percent"


DAY = date(2025, 3, 4)


def overhead(on: date) -> Decimal:
    return read.at(on).overhead_per_hour


class TestHistory:
    """Rates hold from a day on."""

    def test_the_first_rates_hold_for_all_days_before_too(self) -> None:
        row = rates.set_rates(since=date(2025, 7, 1), overhead_per_hour=D(4))
        assert row.since == EVER
        assert overhead(date(1980, 1, 1)) == 4

    def test_others_hold_from_their_day_to_the_eve_of_the_next(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        rates.set_rates(since=date(2026, 1, 1), overhead_per_hour=D(5))
        rates.set_rates(since=date(2025, 7, 1), overhead_per_hour=D("4.50"))
        days = [date(2025, 6, 30), date(2025, 7, 1), date(2025, 12, 31), date(2026, 1, 1)]
        assert [overhead(day) for day in days] == [D(4), D("4.50"), D("4.50"), D(5)]
        assert [held.until for held in read.history().held()] == [None, date(2025, 12, 31), date(2025, 6, 30)]

    def test_what_is_not_given_stays_as_it_was_that_day_and_not_as_it_is_now(self) -> None:
        rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4))
        rates.set_rates(since=date(2026, 1, 1), wage_per_hour=D(20))
        assert rates.set_rates(since=date(2025, 7, 1), overhead_per_hour=D(5)).wage_per_hour == 16
        assert read.at(date(2026, 1, 1)).overhead_per_hour == 4, "what was set for January stands"

    def test_today_reads_what_holds_today(self) -> None:
        rates.set_rates(wage_per_hour=D(16))
        rates.set_rates(since=date(2026, 1, 1), wage_per_hour=D(20))
        workshop.pin_today(on=date(2025, 12, 31))
        assert read.plain().wage_per_hour == 16
        workshop.pin_today(on=date(2026, 1, 1))
        assert read.plain().wage_per_hour == 20

    def test_the_same_day_is_replaced_while_no_piece_was_finished_with_it(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        rates.set_rates(since=DAY, overhead_per_hour=D(40))
        rates.set_rates(since=DAY, overhead_per_hour=D(5))
        assert Rates.objects.count() == 2
        assert overhead(DAY) == 5

    def test_rates_that_a_piece_was_finished_with_stay_beside_those_that_replace_them(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        rates.set_rates(since=DAY, overhead_per_hour=D(40))
        (piece,) = factories.finish(factories.skin(date_in=DAY).tag, on=DAY)
        rates.set_rates(since=DAY, overhead_per_hour=D(5))
        assert overhead(DAY) == 5
        assert [(held.row.overhead_per_hour, held.replaced) for held in read.history().held()] == [
            (D(5), False), (D(40), True), (D(4), False),
        ]  # fmt: skip
        piece.cost.refresh_from_db()
        assert piece.cost.overhead_per_hour == 40

    def test_a_piece_of_another_day_does_not_hold_them(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        rates.set_rates(since=DAY, overhead_per_hour=D(40))
        factories.finish(factories.skin(date_in=date(2025, 1, 2)).tag, on=date(2025, 3, 3))
        rates.set_rates(since=DAY, overhead_per_hour=D(5))
        assert Rates.objects.count() == 2

    def test_a_closed_day_keeps_its_rates(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        workshop.close_books(to=date(2025, 12, 31))
        for since in (EVER, date(2025, 7, 1), date(2025, 12, 31)):
            with pytest.raises(Refused, match="closed to 2025-12-31") as refusal:
                rates.set_rates(since=since, overhead_per_hour=D(5))
            assert refusal.value.field == "since"
        rates.set_rates(since=date(2026, 1, 1), overhead_per_hour=D(5))
        assert (overhead(date(2025, 12, 31)), overhead(date(2026, 1, 1))) == (4, 5)

    def test_the_first_rates_do_not_reach_into_closed_days(self) -> None:
        workshop.close_books(to=date(2024, 12, 31))
        rates.set_rates(since=date(2025, 2, 1), overhead_per_hour=D(5))
        assert (overhead(date(2024, 12, 31)), overhead(date(2025, 2, 1))) == (0, 5)

    @pytest.mark.parametrize("since", [date(1969, 12, 31), date(2999, 1, 1)])
    def test_a_day_that_is_not_believable_is_refused(self, since: date) -> None:
        with pytest.raises(Refused, match="Check the year") as refusal:
            rates.set_rates(since=since, overhead_per_hour=D(5))
        assert refusal.value.field == "since"

    def test_the_same_form_sent_twice_writes_once(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        made = [rates.set_rates(since=DAY, overhead_per_hour=D(5), request_key="k") for _ in range(2)]
        assert made[0].pk == made[1].pk
        rates.set_rates(since=DAY, overhead_per_hour=D(6))
        assert rates.set_rates(since=DAY, overhead_per_hour=D(5), request_key="k").overhead_per_hour == 6

    @pytest.mark.parametrize("role", ["helper", "bookkeeper"])
    def test_only_the_owner_sets_them(self, role: str) -> None:
        with pytest.raises(NotAllowed):
            rates.set_rates(since=DAY, overhead_per_hour=D(5), by=factories.person(role))


class TestWhatTheyAreUsedFor:
    def test_a_piece_is_finished_at_the_rates_of_its_day(self) -> None:
        rates.set_rates(wage_per_hour=D(16))
        rates.set_rates(since=date(2025, 3, 5), wage_per_hour=D(20))
        first = factories.finish(factories.skin("H01", date_in=DAY).tag, on=DAY)
        second = factories.finish(factories.skin("H02", date_in=DAY).tag, on=date(2025, 3, 5))
        assert [piece.cost.wage_per_hour for piece in (*first, *second)] == [16, 20]

    def test_a_year_that_is_over_keeps_its_overheads_when_the_rate_changes(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        factories.skin(date_in=DAY)
        factories.work(DAY, 90, tags=["H01"])
        assert results.year(2025).overheads.recovered == 6
        rates.set_rates(since=date(2026, 1, 1), overhead_per_hour=D(10))
        assert results.year(2025).overheads.recovered == 6

    def test_hours_before_and_after_a_change_bear_the_rate_of_their_day(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        rates.set_rates(since=date(2025, 7, 1), overhead_per_hour=D("5.50"))
        factories.skin(date_in=DAY)
        factories.work(date(2025, 6, 30), 60, tags=["H01"])
        factories.work(date(2025, 7, 1), 30, tags=["H01"])
        assert results.year(2025).overheads.recovered == D("6.75"), "1 h at 4.00 and half an hour at 5.50"

    def test_hours_of_paid_help_bear_overheads_too(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        factories.skin(date_in=DAY)
        labour.log(on=DAY, task="flesh", minutes=D(60), tags=["H01"], who="Aino", paid=D(12))
        year = results.year(2025)
        assert (year.overheads.recovered, year.making_hours) == (4, 0)

    def test_minutes_taken_back_bear_nothing(self) -> None:
        rates.set_rates(overhead_per_hour=D(4))
        factories.skin(date_in=DAY)
        line = factories.work(DAY, 60, tags=["H01"])
        labour.reverse(line=line)
        assert results.year(2025).overheads.recovered == 0

    def test_what_a_lost_skin_cost_is_told_at_the_rates_of_the_day_of_its_loss(self) -> None:
        rates.set_rates(wage_per_hour=D(16))
        skin = factories.skin(date_in=DAY, price=10)
        factories.work(DAY, 60, tags=["H01"])
        skin = loss_services.lose(skin=skin, on=DAY, reason="slipped")
        rates.set_rates(since=date(2025, 3, 5), wage_per_hour=D(99))
        found = losses.both(skin)
        assert found is not None
        assert found.found.full == 26

    def test_a_sale_is_taxed_at_the_rate_of_its_day(self) -> None:
        factories.registered()
        rates.set_rates(vat_percent=D(24))
        rates.set_rates(since=date(2025, 3, 5), vat_percent=D("25.5"))
        for tag, on, percent in (("H01", DAY, "24"), ("H02", date(2025, 3, 5), "25.5")):
            (piece,) = factories.finish(factories.skin(tag, date_in=DAY).tag, on=DAY)
            sale = factories.sale(piece, on=on)
            assert sale.lines.get().tax_percent == D(percent)
