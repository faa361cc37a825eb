"""Two invented half-years, of the United States and of the European Union, against a plain script that knows only their files.

The maker in the US keeps the average cost, weighs in pounds and puts sales tax on top; the one in the EU keeps first in, first
out, is registered and has the tax in the prices.
"""

import json
from collections.abc import Iterator
from fractions import Fraction
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import transaction
from pytest_django import DjangoDbBlocker

from tests.standards.half_years.plain import HalfYear, cents, money
from workshop import transfer

pytestmark = pytest.mark.django_db

HERE = Path(__file__).parent
MAKERS = ("us", "eu")


@pytest.fixture(scope="module", params=MAKERS)
def half(
    request: pytest.FixtureRequest, django_db_setup: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[HalfYear]:
    """Loaded once and only read; nothing of it stays."""
    with django_db_blocker.unblock(), transaction.atomic():
        transfer.load(HERE / request.param)
        yield HalfYear(HERE / request.param)
        transaction.set_rollback(True)


def asked(*words: str) -> Any:
    out = StringIO()
    call_command(*words, "--json", stdout=out)
    return json.loads(out.getvalue())


def test_what_is_on_the_shelf_and_in_the_shed(half: HalfYear) -> None:
    found = asked("stock_value", "--on", "2026-06-30")
    materials = {row["material"]: (Fraction(row["quantity"]), row["value"]) for row in found["materials"]}
    assert materials == {code: (half.on_hand(code), money(shelf.value)) for code, shelf in half.shelf.items()}
    plain = half.stock_at_the_end()
    assert [found[name] for name in ("consumables", "raw_skins", "finished", "total")] == [
        money(getattr(plain, name)) for name in ("consumables", "raw_skins", "finished", "total")
    ]


def test_what_a_month_used(half: HalfYear) -> None:
    for month in ("2026-01", "2026-02", "2026-03", "2026-04"):
        for line in asked("usage", month)["lines"]:
            key = month, line["material"]
            assert (Fraction(line["used"]), line["used_value"]) == (
                half.month_quantity[key],
                money(half.months[key]),
            ), key


def test_what_each_piece_cost(half: HalfYear) -> None:
    for number, piece in half.piece.items():
        found = asked("price", number)
        assert (found["book_cost"], found["full_cost"]) == (money(piece.book), money(piece.full)), number
        assert Fraction(found["per_sq_ft" if half.keys["currency"] == "USD" else "per_dm2"]["book"]) == Fraction(
            cents(Fraction(piece.book, 100) / piece.area), 100
        )


def test_both_profits_and_where_the_stock_went(half: HalfYear) -> None:
    found, plain = asked("results", "2026"), half.profit()
    assert {name: found["stock"][name] for name in ("opening", "materials", "skins", "closing", "used")} == {
        name: money(getattr(plain, name)) for name in ("opening", "materials", "skins", "closing", "used")
    }
    assert (found["turnover"]["net"], found["turnover"]["tax"]) == (money(half.net), money(half.tax))
    assert found["selling"]["total"] == money(plain.selling)
    assert found["profit"] == {"stock_basis": money(plain.stock_basis), "cash_basis": money(plain.cash_basis)}
    assert found["holds"] is True


def test_what_an_hour_earned(half: HalfYear) -> None:
    earned = {row["piece"]: row["per_hour"] for row in asked("results", "2026")["pieces"] if row["lines"] != "0"}
    for thing, per_hour in half.per_hour().items():
        assert earned[thing] == money(per_hour), thing


def test_what_a_piece_must_bring(half: HalfYear) -> None:
    for number in half.piece:
        found = asked("price", number)
        if found["list_price"] is not None:
            assert found["floors"] == {name: money(least) for name, least in half.floors(number).items()}, number


def test_the_tax_of_the_half_year(half: HalfYear) -> None:
    found = asked("tax", "2026-01-01", "2026-06-30")
    plain = {
        (rate, reason): tuple(money(getattr(total, part)) for part in ("net", "tax", "gross"))
        for (rate, reason), total in half.by_rate.items()
    }
    assert {
        (Fraction(row["rate"]), row["reason"]): (row["net"], row["tax"], row["gross"]) for row in found["sales"]
    } == plain
    deducted = {Fraction(row["rate"]): row["tax"] for row in found["purchases"] if Fraction(row["rate"])}
    assert deducted == {Fraction(rate): money(tax) for rate, tax in half.deducted.items()}
    collected, deductible = half.tax, sum(half.deducted.values())
    assert (found["collected"], found["deductible"], found["due"]) == (
        money(collected),
        money(deductible),
        money(collected - deductible),
    )
