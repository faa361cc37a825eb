"""Litres for the skins, and whether the vessel holds them with the room froth needs."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from costing.make.baths.chemistry.bath import fits, litres_from_weight
from costing.make.errors import NotAbove


def test_litres_are_kilograms_times_the_float() -> None:
    assert litres_from_weight(Decimal(14200), Decimal(3)) == Decimal("42.600")
    assert litres_from_weight(Decimal("333.333"), Decimal("1.5")) == Decimal("0.500")


@pytest.mark.parametrize(("grams", "float_ratio", "field"), [("0", "3", "weight_g"), ("10", "0", "float_ratio")])
def test_nothing_gives_no_bath(grams: str, float_ratio: str, field: str) -> None:
    with pytest.raises(NotAbove) as refusal:
        litres_from_weight(Decimal(grams), Decimal(float_ratio))
    assert refusal.value.field == field


def test_a_bath_to_the_brim_fits_and_a_drop_more_does_not() -> None:
    assert fits(Decimal(20), Decimal(20)) is None
    assert fits(Decimal(11), Decimal(20), Decimal(9)) is None
    refusal = fits(Decimal("20.1"), Decimal(20))
    assert refusal is not None
    assert str(refusal) == "A bath of 20.1 L does not fit a vessel of 20 L; make at most 20 L, or take a larger vessel."


def test_froth_room_shrinks_with_the_bath_offered() -> None:
    refusal = fits(Decimal(18), Decimal(20), Decimal(9))
    assert refusal is not None
    assert refusal.largest == Decimal("13.3")
    assert "9 L of room above it" in str(refusal)


def test_a_vessel_that_holds_nothing_is_refused() -> None:
    with pytest.raises(NotAbove, match="The vessel"):
        fits(Decimal(18), Decimal(0))
    with pytest.raises(NotAbove, match="The bath"):
        fits(Decimal(0), Decimal(20))


@given(st.integers(1, 3000), st.integers(10, 3000), st.integers(0, 1500))
def test_the_bath_offered_does_fit(litres: int, holds: int, room: int) -> None:
    bath, vessel_litres, headroom = (Decimal(tenths).scaleb(-1) for tenths in (litres, holds, room))
    refusal = fits(bath, vessel_litres, headroom)
    if refusal is not None and refusal.largest > 0:
        share = headroom * refusal.largest / bath
        assert fits(refusal.largest, vessel_litres, share.quantize(Decimal("0.001"), "ROUND_FLOOR")) is None
