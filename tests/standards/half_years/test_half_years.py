"""Two invented half-years, of the United States and of the European Union, against a plain script that knows only their files.

The maker in the US keeps the average cost, weighs in pounds and puts sales tax on top; the one in the EU keeps first in, first
out, is registered and has the tax in the prices.
"""

import json
from fractions import Fraction
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command

from tests.standards.half_years.plain import HalfYear, cents, money
from workshop import transfer

HERE = Path(__file__).parent
MAKERS = ("us", "eu")


@pytest.fixture(params=MAKERS)
def half(request: pytest.FixtureRequest, db: None) -> HalfYear:
    transfer.load(HERE / request.param)
    return HalfYear(HERE / request.param)


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
