"""What to ask for a job, told from the maker's own finished skins of that species."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.cost.rates import services as rates
from costing.make.losses import services as losses
from costing.sell.jobs.quotes import selectors as asking
from costing.sell.sales.terms import services as terms
from inventory.models import Skin
from tests import factories as make

pytestmark = pytest.mark.django_db
D = Decimal
IN = date(2025, 3, 4)


@pytest.fixture(autouse=True)
def _rates() -> None:
    rates.set_rates(wage_per_hour=D(16), overhead_per_hour=D(4), frame_wear=D("1.50"))


def done(tag: str, minutes: int, materials: str = "0", *, laced: int = 0, helped: str = "", **details: Any) -> Skin:
    """A finished skin with own minutes, money of materials, lacings and paid help for half an hour."""
    skin = make.skin(tag, date_in=IN, **{"species": "reindeer", **details})
    make.work(on=IN, minutes=minutes, tags=[tag])
    for _ in range(laced):
        make.work(on=IN, minutes=1, task="lace", tags=[tag], laced=True)
    if helped:
        make.work(on=IN, minutes=30, tags=[tag], who="Aino", paid=D(helped))
    if D(materials):
        make.put(None, make.material(f"M-{tag}", on_hand=1, value=materials, on=IN), 1, on=IN, tags=[tag])
    make.finish(tag, on=date(2025, 5, 1))
    return skin


def test_a_quote_takes_the_least_the_middle_and_the_most_hours_with_the_middle_of_the_materials() -> None:
    for tag, minutes, materials in (("H01", 480, "8.00"), ("H02", 495, "9.00"), ("H03", 555, "30.00")):
        done(tag, minutes, materials, price="40")
    asked = asking.quote("Reindeer")
    assert asked is not None
    # 8.00, 8.25 and 9.25 h × 20.00 + 9.00; the price of the maker's own hides is no part of a job.
    assert (asked.quote.low, asked.quote.usual, asked.quote.high) == (D(169), D(174), D(194))
    assert (asked.quote.hours.median, asked.quote.hours.count) == (Fraction(495), 3)
    assert (asked.hourly, asked.lacings, asked.cash) == (D(20), 0, D(9))
    assert (asked.loss.lost, asked.loss.of, asked.loss.few) == (0, 3, True)


def test_a_lacing_bears_its_wear_and_a_half_one_counts_whole() -> None:
    done("H01", 60, laced=1)
    done("H02", 60, laced=0)
    asked = asking.quote("reindeer")
    assert asked is not None
    assert asked.lacings == 1
    # Median of 61 and 60 minutes × 20.00 an hour + 1.50.
    assert asked.quote.usual == D("21.67")


def test_paid_help_is_in_the_money_with_the_overheads_of_its_hours_and_none_of_my_wage() -> None:
    done("H01", 60, helped="6.00")
    asked = asking.quote("reindeer")
    assert asked is not None
    # 1 h × 20.00 + 6.00 + half an hour of overhead; the deposit covers what is paid out.
    assert asked.quote.usual == D(28)
    assert asked.cash == D(6)


def test_the_own_loss_rate_puts_aside_the_work_in_the_one_that_fails() -> None:
    for number in range(3):
        done(f"H0{number}", 600)
    losses.lose(skin=make.skin("H09", date_in=IN, species="Reindeer"), on=IN, reason="slipped")
    asked = asking.quote("reindeer")
    assert asked is not None
    assert (asked.loss.lost, asked.loss.of) == (1, 4)
    assert (asked.quote.at_stake, asked.quote.risk, asked.quote.usual) == (D(200), D(50), D(250))


def test_other_species_and_skins_in_work_tell_nothing() -> None:
    done("H01", 480, species="sheep")
    make.skin("H02", date_in=IN, species="reindeer")
    make.work(on=IN, minutes=300, tags=["H02"])
    assert asking.quote("reindeer") is None
    assert asking.quote("") is None


def test_a_finished_skin_without_hours_is_no_history() -> None:
    make.skin("H01", date_in=IN, species="reindeer")
    make.finish("H01", on=IN)
    assert asking.quote("reindeer") is None


def test_the_deposit_is_the_share_of_the_terms_and_at_least_what_is_paid_out() -> None:
    assert asking.deposit_of(None, D(165), "reindeer") == D(66)
    done("H01", 60, "90.00")
    assert asking.deposit_of(None, D(165), "reindeer") == D(90)
    assert asking.deposit_of(None, D(80), "reindeer") == D(80)
    terms.set_terms(deposit_percent=D("33.3"))
    assert asking.deposit_of(None, D(100), "") == D("33.30")


@pytest.mark.thorough
def test_a_quote_of_many_skins_takes_as_many_queries_as_of_one() -> None:
    def queries() -> int:
        with CaptureQueriesContext(connection) as seen:
            assert asking.quote("reindeer")
        return len(seen)

    done("H01", 60, "3.00")
    first = queries()
    for number in range(2, 5):
        done(f"H0{number}", 60, "3.00")
    assert queries() == first
