"""How much to order: the textbook's lot sizes, and what the maker is told."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from itertools import product
from typing import Any

import pytest
from hypothesis import given, strategies as st

from inventory.foresight.lot_size import Good, Lot, advise, eoq, eoq_cost, joint, wagner_whitin

ALUM: dict[str, Any] = {"pack": Decimal(2000), "price": Decimal("11.60")}
FIRST = date(2026, 1, 1)

positive = st.integers(1, 100_000).map(lambda cents: Fraction(cents, 100))
amounts = st.decimals(min_value=0, max_value=5000, places=3)
money = st.decimals(min_value=Decimal("0.01"), max_value=500, places=2)


def dated(*needs: int) -> list[tuple[date, Decimal]]:
    return [(FIRST + timedelta(at), Decimal(need)) for at, need in enumerate(needs)]


def pieces(wanted: int, **given: Any) -> Lot:
    """Advice for goods in packs of one, ten each."""
    return advise(Decimal(wanted), **{"pack": Decimal(1), "price": 10, **given})


def test_the_alum_for_four_sheepskins_is_one_pack() -> None:
    # The demonstration year: 1.92 kg wanted, 0.56 kg there.
    assert advise(Decimal(1360), yearly=2040, **ALUM) == Lot(Decimal(2000), 1, Decimal("11.60"), "wanted")


def test_nothing_wanted_is_nothing_ordered() -> None:
    assert advise(Decimal(0), yearly=2040, order_cost=10, min_order=Decimal(5000), **ALUM) == Lot(
        Decimal(0), 0, Decimal(0), "nothing"
    )
    assert advise(Decimal(0)).cost is None


def test_loose_goods_are_ordered_to_the_thousandth() -> None:
    lot = advise(Decimal("1.5"), price=Decimal("0.0333"))
    assert lot == Lot(Decimal("1.500"), 0, Decimal("0.05"), "wanted")


def test_without_a_price_there_is_no_cost_and_no_reason_for_more() -> None:
    assert advise(Decimal(1), yearly=500, order_cost=10, pack=Decimal(1), breaks=[(5, 8)]) == Lot(
        Decimal(1), 1, None, "wanted"
    )


def test_carriage_makes_a_usual_lot_of_whole_packs() -> None:
    # EOQ = root(2 × 10 × 20 ÷ (0.2 × 10)) = 14.14; with 14 a year costs 0.05 less than with 15.
    assert pieces(1, yearly=20, order_cost=10) == Lot(Decimal(14), 14, Decimal(140), "usual")
    assert pieces(1, yearly=20).packs == 1
    # With 3 or 4 a year costs the same: 12 ÷ 3 + 3 = 12 ÷ 4 + 4.
    assert pieces(1, yearly=12, order_cost=1).packs == 3


def test_what_is_cheap_is_not_bought_for_eight_years() -> None:
    # EOQ would be 77 kg; a year's use is bought beyond what is wanted.
    salt = advise(Decimal(2000), yearly=10000, order_cost=12, price=Decimal("0.0002"))
    assert salt == Lot(Decimal(12000), 0, Decimal("2.40"), "usual")


def test_a_break_is_taken_where_a_year_costs_less() -> None:
    # From 5: 8 each. 20 a year: goods 200 -> 160, holding 1 -> 4.
    assert pieces(1, yearly=20, breaks=[(5, 8)]) == Lot(Decimal(5), 5, Decimal(40), "break")
    # 1 % off is less than what holding thirty costs.
    assert pieces(1, yearly=40, breaks=[(30, Fraction("9.9"))]) == Lot(Decimal(1), 1, Decimal(10), "wanted")


def test_a_break_for_what_goes_further_counts_only_there() -> None:
    # The first five are dearer by 10 in all, like an order cost: root(2 × 10 × 20 ÷ (0.2 × 8)) = 15.8.
    assert pieces(1, yearly=20, breaks=[(5, 8)], further=True) == Lot(Decimal(16), 16, Decimal(138), "break")
    assert pieces(6, breaks=[(5, 8)], further=True).cost == 58
    assert pieces(6, breaks=[(5, 8)]).cost == 48


def test_a_break_beyond_a_years_use_is_left() -> None:
    assert pieces(2, yearly=7, breaks=[(10, 1)]).packs == 2
    assert pieces(2, yearly=8, breaks=[(10, 1)]).packs == 10


def test_a_break_from_one_pack_on_is_the_price() -> None:
    assert pieces(2, price=None, breaks=[(1, 7), (5, 6)]).cost == 14
    assert pieces(2, price=10, breaks=[(1, 7), (5, 6)]).cost == 14


def test_a_break_that_is_not_below_the_price_is_none() -> None:
    assert pieces(6, price=8, breaks=[(5, 8), (10, 7)]).cost == 48


def test_the_suppliers_minimum_is_kept() -> None:
    assert pieces(2, min_order=Decimal("4.5")) == Lot(Decimal(5), 5, Decimal(50), "minimum")
    assert pieces(5, min_order=Decimal("4.5")).why == "wanted"


def test_never_more_than_is_used_before_it_spoils() -> None:
    assert pieces(9, most=Decimal("4.5")) == Lot(Decimal(4), 4, Decimal(40), "spoils")
    assert pieces(1, yearly=20, order_cost=10, most=Decimal(6)) == Lot(Decimal(6), 6, Decimal(60), "spoils")
    assert pieces(1, yearly=20, order_cost=10, most=Decimal(14)).why == "usual"
    assert pieces(3, most=Decimal(0)) == Lot(Decimal(1), 1, Decimal(10), "spoils")
    assert pieces(3, most=Decimal(2), min_order=Decimal(4)) == Lot(Decimal(4), 4, Decimal(40), "minimum")
    assert pieces(9, most=Decimal(4), min_order=Decimal(4)).why == "spoils"
    assert advise(Decimal(3), most=Decimal("2.5")) == Lot(Decimal("2.5"), 0, None, "spoils")
    # The break at 5 would spoil; there is no reason for more than is wanted then.
    assert pieces(2, yearly=20, breaks=[(5, 8)], most=Decimal(4)) == Lot(Decimal(2), 2, Decimal(20), "spoils")


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"pack": Decimal(0)}, "A pack must hold something; this one holds 0"),
        ({"pack": Decimal(-1)}, "A pack must hold something"),
        ({"yearly": -1}, "yearly must not be negative; got -1"),
        ({"order_cost": -1}, "order cost must not be negative"),
        ({"price": -1}, "price must not be negative"),
        ({"min_order": Decimal(-1)}, "min order must not be negative"),
        ({"most": Decimal(-1)}, "most must not be negative"),
        ({"rate": 0}, "rate must be more than nothing"),
        ({"breaks": [(5, 8), (3, 7)]}, "3 comes after 5"),
        ({"breaks": [(5, 8), (6, 9)]}, "from 6 on must be lower"),
        ({"breaks": [(-5, 8)]}, "price break must not be negative"),
        ({"breaks": [(5, 8), (3, 7)], "price": None}, "3 comes after 5"),
        ({"breaks": [(5, 12), (3, 9)]}, "3 comes after 5"),
    ],
)
def test_what_cannot_be_is_refused(given: dict[str, Any], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        pieces(1, **given)


def test_less_than_nothing_is_not_wanted() -> None:
    with pytest.raises(ValueError, match="wanted must not be negative; got -1"):
        pieces(-1)


breaks = st.lists(st.tuples(st.integers(2, 60), money), max_size=3).map(
    lambda rows: list(
        zip(sorted({row[0] for row in rows}), sorted({row[1] for row in rows}, reverse=True), strict=False)
    )
)


@given(
    amounts,
    st.fixed_dictionaries(
        {
            "yearly": amounts,
            "order_cost": st.none() | money,
            "pack": st.none() | st.decimals(min_value=Decimal("0.1"), max_value=3000, places=3),
            "price": st.none() | money,
            "breaks": breaks,
            "further": st.booleans(),
            "min_order": st.none() | amounts,
            "most": st.none() | amounts,
        }
    ),
)
def test_advice_covers_what_is_wanted_in_whole_packs_unless_it_spoils(wanted: Decimal, given: dict[str, Any]) -> None:
    lot = advise(wanted, **given)
    pack, most = given["pack"], given["most"]
    if pack:
        assert lot.quantity == lot.packs * pack
    if not wanted:
        assert (lot.quantity, lot.why) == (0, "nothing")
        return
    assert lot.quantity >= (given["min_order"] or 0)
    assert lot.quantity >= wanted or lot.why in ("spoils", "minimum")
    assert lot.packs or not pack
    if most is not None:
        assert lot.quantity <= max(most, pack or 0) or lot.why in ("minimum", "wanted")
    if lot.quantity < wanted:
        assert most is not None
        assert most < wanted + (pack or 0)
    # Whatever makes it more, the rest lasts a year at most.
    least = max(wanted, given["min_order"] or 0)
    assert lot.quantity <= least + given["yearly"] + (pack or Decimal("0.001"))


@given(st.integers(1, 40), st.integers(0, 200), st.none() | money, st.integers(2, 60), money, money, st.booleans())
def test_one_more_price_break_never_makes_a_year_dearer(
    wanted: int, yearly: int, carriage: Decimal | None, start: int, first: Decimal, second: Decimal, further: bool
) -> None:
    def year(lot: Lot) -> Fraction:
        assert lot.cost is not None
        goods = Fraction(lot.cost)
        return (Fraction(carriage or 0) + goods) * yearly / lot.packs + goods / 5 / 2

    without = pieces(wanted, yearly=yearly, order_cost=carriage, price=max(first, second), further=further)
    offered = [(start, min(first, second))] if first != second else []
    taken = pieces(
        wanted, yearly=yearly, order_cost=carriage, price=max(first, second), breaks=offered, further=further
    )
    assert year(taken) <= year(without)


@given(positive, positive, positive, positive)
def test_no_lot_costs_less_than_the_economic_one(
    order_cost: Fraction, holding: Fraction, demand: Fraction, other: Fraction
) -> None:
    best = eoq(order_cost, holding, demand)
    assert eoq_cost(best, order_cost, holding, demand) <= eoq_cost(other, order_cost, holding, demand) * (
        1 + Fraction(1, 10**9)
    )


@given(st.lists(st.integers(0, 50), min_size=1, max_size=6), st.integers(0, 200), st.integers(0, 5))
def test_no_other_orders_for_dated_needs_cost_less(needs: list[int], order_cost: int, holding: int) -> None:
    def cost(orders: list[int]) -> int:
        shelf = total = 0
        for order, need in zip(orders, needs, strict=True):
            shelf += order - need
            assert shelf >= 0
            total += order_cost * bool(order) + holding * shelf
        return total

    def those(starts: tuple[bool, ...]) -> list[int]:
        orders, at = [0] * len(needs), 0
        for day, need in enumerate(needs):
            at = day if starts[day] else at
            orders[at] += need
        return orders

    ours = [int(order) for order in wagner_whitin(dated(*needs), order_cost, holding)]
    assert sum(ours) == sum(needs)
    assert cost(ours) == min(cost(those(starts)) for starts in product((True, False), repeat=len(needs)))


def test_needs_far_apart_are_ordered_apart() -> None:
    close, far = (
        [(FIRST, Decimal(1)), (FIRST + timedelta(5), Decimal(1))],
        [(FIRST, Decimal(1)), (FIRST + timedelta(50), Decimal(1))],
    )
    assert wagner_whitin(close, 10, 1) == (2, 0)
    assert wagner_whitin(far, 10, 1) == (1, 1)
    assert wagner_whitin([], 10, 1) == ()


def test_needs_that_cannot_be_are_refused() -> None:
    with pytest.raises(ValueError, match="2026-01-01 comes after 2026-01-02"):
        wagner_whitin(dated(1, 2)[::-1], 10, 1)
    with pytest.raises(ValueError, match="need must not be negative"):
        wagner_whitin(dated(1, -2), 10, 1)


def test_goods_without_a_cost_of_their_own_come_together_every_time() -> None:
    rhythm = joint(10, [Good(0, 2, 20), Good(0, 1, 5)])
    assert rhythm.multiples == (1, 1)
    # As one good that costs 2 × 20 + 1 × 5 a year to hold.
    assert rhythm.cycle == eoq(10, 45, 1)


@pytest.mark.parametrize(
    ("shared", "goods", "said"),
    [
        (10, [], "at least one good"),
        (0, [Good(0, 1, 1)], "order cost must be more than nothing"),
        (-1, [Good(0, 1, 1)], "order cost must not be negative"),
        (1, [Good(-1, 1, 1)], "order cost must not be negative"),
        (1, [Good(1, 0, 1)], "holding must be more than nothing"),
        (1, [Good(1, 1, 0)], "demand must be more than nothing"),
    ],
)
def test_a_joint_order_that_cannot_be_is_refused(shared: int, goods: list[Good], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        joint(shared, goods)
