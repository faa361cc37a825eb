"""Cutting one skin into pieces and joining several into one: no cost is lost."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings, strategies as st

from costing.make.cost.rules import Share, rounded, split_books
from costing.make.errors import NotAbove, percent
from costing.make.finishing.rules import FINEST, Cut, split
from inventory.errors import Refused
from tests.costing.make.cost.test_rules import RATES, demo_share
from tests.properties import FURTHER

D = Decimal
FEWER = settings(max_examples=40 * FURTHER)
TOO_SMALL = "takes less than one part in"
POUCHES = [Cut(f"pouch {place}", 12) for place in (1, 2, 3)]

CUTS = st.lists(
    st.tuples(st.integers(1, 5000), st.integers(1, 100).map(lambda percent: Fraction(percent, 100))),
    min_size=1,
    max_size=7,
).map(lambda rows: [Cut(str(place), area, weight) for place, (area, weight) in enumerate(rows)])

PARTS = st.builds(Share, *(st.integers(0, 9000).map(lambda cents: Fraction(cents, 300)) for _ in range(6)))


def test_three_pouches_bear_a_third_of_their_goat_each_and_offcuts_nothing() -> None:
    goat = demo_share("H08")
    found = split("H08", POUCHES, area=56)
    assert found.pieces == (Fraction(1, 3),) * 3
    assert (found.offcuts, found.taken) == (0, 1)
    pieces = [goat.times(part) for part in found.pieces]
    assert split_books(pieces, 2) == [D("12.62")] * 3
    assert rounded(pieces[0], RATES, 2).full == D("74.24")


def test_a_worse_grade_bears_less_than_its_area() -> None:
    found = split("H01", [Cut("back", 40), Cut("belly", 40, Fraction(1, 2))])
    assert found.pieces == (Fraction(2, 3), Fraction(1, 3))


def test_offcuts_keep_the_value_stated_for_them() -> None:
    found = split("H08", POUCHES, area=56, book=D("40.00"), offcuts=D("4.00"))
    assert found.offcuts == Fraction(1, 10)
    assert found.pieces == (Fraction(3, 10),) * 3


def test_only_what_is_free_is_split() -> None:
    found = split("H08", POUCHES[:2], book=D("36.00"), offcuts=D("12.00"), free=Fraction(2, 3))
    assert found.pieces == (Fraction(1, 6),) * 2
    assert (found.offcuts, found.taken) == (Fraction(1, 3), Fraction(2, 3))


@FEWER
@given(CUTS, st.integers(1, 40), st.integers(1, 40))
def test_shares_always_add_up_to_what_was_free_and_are_never_too_fine(cuts: list[Cut], of: int, parts: int) -> None:
    assume(of <= parts)
    free = Fraction(of, parts)
    try:
        found = split("X", cuts, free=free)
    except Refused as refusal:
        if TOO_SMALL in str(refusal):
            return
        raise
    assert found.taken == free
    assert all(share > 0 and share.denominator <= FINEST for share in found.pieces)
    worth = [cut.area * Fraction(cut.weight) for cut in cuts]
    for share, weight in zip(found.pieces, worth, strict=True):
        assert abs(share - free * weight / sum(worth)) < Fraction(parts, FINEST - parts)


@FEWER
@given(CUTS, PARTS)
def test_pieces_bear_together_what_their_skin_has_cost(cuts: list[Cut], skin: Share) -> None:
    try:
        found = split("X", cuts)
    except Refused as refusal:
        if TOO_SMALL in str(refusal):
            return
        raise
    assert sum((skin.times(part) for part in found.pieces), Share()) == skin
    books = split_books([skin.times(part) for part in found.pieces], 2)
    assert sum(books) == rounded(skin, RATES, 2).book


@FEWER
@given(CUTS, st.integers(1, 20_000), st.integers(0, 20_000))
def test_stated_offcuts_come_out_within_half_a_step(cuts: list[Cut], book: int, offcuts: int) -> None:
    assume(offcuts < book)
    paid, kept = Decimal(book).scaleb(-2), Decimal(offcuts).scaleb(-2)
    try:
        found = split("X", cuts, book=paid, offcuts=kept)
    except Refused as refusal:
        if TOO_SMALL in str(refusal):
            return
        raise
    assert found.taken == 1
    assert abs(found.offcuts * Fraction(paid) - Fraction(kept)) <= Fraction(paid) / (2 * FINEST)


def test_pieces_larger_than_their_skin_are_refused() -> None:
    assert split("H08", POUCHES, area=36).taken == 1
    with pytest.raises(Refused, match=r"an area of 36 dm², but H08 measures 35\.9 dm²; measure again") as caught:
        split("H08", POUCHES, area=D("35.9"))
    assert caught.value.field == "area"


@pytest.mark.parametrize("value", ["-0.01", "40.00", "41"])
def test_offcuts_cannot_be_worth_their_whole_skin(value: str) -> None:
    with pytest.raises(Refused, match=f"Offcuts kept at {value} cannot be: the skin came to 40; enter 0") as caught:
        split("H08", POUCHES, book=D("40.00"), offcuts=D(value))
    assert caught.value.field == "offcuts"


def test_offcuts_keep_less_than_what_is_free_of_their_skin() -> None:
    two_thirds = Fraction(2, 3)
    assert split("H08", POUCHES, book=D("36.00"), offcuts=D("23.99"), free=two_thirds).taken == two_thirds
    with pytest.raises(Refused, match="the skin came to 24; enter 0"):
        split("H08", POUCHES, book=D("36.00"), offcuts=D("24.00"), free=two_thirds)


def test_a_free_part_finer_than_any_share_is_a_fault_of_the_program() -> None:
    uneven = [Cut("a", 7001), Cut("b", 7003)]
    assert split("H08", uneven, free=Fraction(1, 10_000 // 7)).taken == Fraction(1, 10_000 // 7)
    with pytest.raises(ValueError, match="finer than one 10000th"):
        split("H08", uneven, free=Fraction(1, 10_001))
    with pytest.raises(Refused, match=TOO_SMALL):
        split("H08", uneven, free=Fraction(1, 10_000))


def test_offcuts_of_a_skin_that_cost_nothing_are_nothing() -> None:
    with pytest.raises(Refused, match="the skin came to 0"):
        split("gift", POUCHES, book=0, offcuts=D("1.00"))


def test_a_piece_too_small_to_be_written_is_named() -> None:
    with pytest.raises(Refused, match="patch takes less than one part in 10000") as caught:
        split("H04", [Cut("rug", 999_999), Cut("patch", 7)])
    assert (caught.value.field, caught.value.row) == ("area", 1)


@pytest.mark.parametrize(
    "cuts", [[], [Cut("a", 0)], [Cut("a", -1)], [Cut("a", 1, 0)], [Cut("a", 1), Cut("b", 1, Fraction(-1))]]
)
def test_pieces_have_area_and_worth(cuts: list[Cut]) -> None:
    with pytest.raises(NotAbove):
        split("H04", cuts)


def test_a_skin_taken_whole_has_nothing_to_split() -> None:
    with pytest.raises(Refused, match="take 100 % of H04, but 0 % of it is free"):
        split("H04", POUCHES, free=Fraction(0))


def test_the_cushion_of_the_year_bears_both_its_rabbits() -> None:
    cushion = demo_share("H10") + demo_share("H11")
    cost = rounded(cushion, RATES, 2)
    assert (cost.book, cost.full, cost.hours) == (D("9.29"), D("119.29"), D("5.50"))


def test_a_part_just_over_the_whole_is_not_rounded_to_it() -> None:
    assert percent(Fraction(7, 6)) == "116.67 %"
    assert percent(1 + Fraction(1, 10**6)) == "a little over 100 %"
