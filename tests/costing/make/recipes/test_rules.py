"""Recipe lines to amounts, and what the shelf allows."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import NamedTuple

import pytest
from hypothesis import given, settings, strategies as st

from costing.make.errors import MissingMeasure
from costing.make.recipes.rules import BASES, Measures, largest_bath, scale, skins_allowed, spans, tie
from inventory.errors import Refused

FULL = Measures(
    litres=Decimal(18), skins=3, weight_g=Decimal(14200), area_cm2=Decimal(27100), edge_mm=Decimal("5250.5")
)


@pytest.mark.parametrize(
    ("amount", "basis", "expected"),
    [
        ("80", "per_litre", "1440"),
        ("40", "per_litre", "720"),
        ("45", "percent_of_weight", "6390"),
        ("300", "per_skin", "900"),
        ("0.7", "per_dm2", "189.7"),
        ("6", "per_sq_ft", "175.021"),
        ("2400", "per_metre_edge", "12601.2"),
        ("12.5", "per_bath", "12.5"),
    ],
)
def test_each_basis_scales_by_its_own_measure(amount: str, basis: str, expected: str) -> None:
    got = scale(Decimal(amount), basis, FULL, "any")
    assert got == Decimal(expected)
    assert got.as_tuple().exponent == -3


def test_every_basis_has_a_label_and_works() -> None:
    assert all(label and scale(Decimal(1), basis, FULL, "any") > 0 for basis, label in BASES.items())


def test_an_amount_rounds_half_up_at_three_places() -> None:
    assert scale(Decimal("0.0005"), "per_skin", Measures(skins=1), "tag") == Decimal("0.001")


@pytest.mark.parametrize(
    ("basis", "measure", "asked"),
    [
        ("per_litre", "litres", "enter the size of the bath"),
        ("percent_of_weight", "weight_g", "enter the weight of the skins"),
        ("per_skin", "skins", "enter how many skins go in"),
        ("per_dm2", "area_cm2", "enter the area of the skins"),
        ("per_sq_ft", "area_cm2", "enter the area of the skins"),
        ("per_metre_edge", "edge_mm", "enter the length of the edge"),
    ],
)
def test_a_missing_measure_is_asked_for_by_name(basis: str, measure: str, asked: str) -> None:
    with pytest.raises(MissingMeasure, match=asked) as caught:
        scale(Decimal(80), basis, Measures(), "potash alum")
    assert caught.value.field == measure
    assert "potash alum" in str(caught.value)


def test_a_measure_of_zero_is_missing_too() -> None:
    with pytest.raises(MissingMeasure, match="size of the bath"):
        scale(Decimal(80), "per_litre", Measures(litres=Decimal(0)), "potash alum")


def test_an_amount_per_bath_needs_no_measure() -> None:
    assert scale(Decimal(500), "per_bath", Measures(), "salt") == 500


def test_an_unknown_basis_is_an_error() -> None:
    with pytest.raises(ValueError, match="per_bucket"):
        scale(Decimal(1), "per_bucket", FULL, "any")


def test_alum_of_560_g_at_80_g_a_litre_allows_seven_litres_and_one_sheepskin() -> None:
    litres, limited_by = largest_bath(
        {"potash alum": Decimal(560), "salt": Decimal(60820), "washing-soda crystals": Decimal(1740)},
        {"potash alum": Fraction(80), "salt": Fraction(40), "washing-soda crystals": Fraction(20)},
    )
    assert (litres, limited_by) == (7, "potash alum")
    assert skins_allowed(Decimal("7.0"), Decimal(6)) == 1


def test_a_material_not_on_the_shelf_allows_no_bath() -> None:
    assert largest_bath({"alum": Decimal(560)}, {"alum": Fraction(80), "salt": Fraction(40)}) == (0, "salt")


def test_of_equal_limits_the_first_named_is_told() -> None:
    assert largest_bath({"a": Decimal(10), "b": Decimal(20)}, {"a": Fraction(1), "b": Fraction(2)})[1] == "a"


def test_a_recipe_without_amounts_per_litre_has_no_bath_limit() -> None:
    with pytest.raises(ValueError, match="no material is calculated per litre"):
        largest_bath({"alum": Decimal(560)}, {"alum": Fraction(0)})


def test_two_skins_need_all_their_litres() -> None:
    assert skins_allowed(Decimal("11.9"), Decimal(6)) == 1
    assert skins_allowed(Decimal("12.0"), Decimal(6)) == 2
    with pytest.raises(ValueError, match="above zero"):
        skins_allowed(Decimal(7), Decimal(0))


THOUSANDTHS = st.integers(1, 10**7).map(lambda n: Decimal(n).scaleb(-3))


@settings(max_examples=60, deadline=None)
@given(st.dictionaries(st.sampled_from("abc"), st.tuples(THOUSANDTHS, THOUSANDTHS), min_size=1))
def test_the_shelf_makes_its_largest_bath_and_no_more(shelf: dict[str, tuple[Decimal, Decimal]]) -> None:
    stock = {name: have for name, (have, _) in shelf.items()}
    rates = {name: Fraction(rate) for name, (_, rate) in shelf.items()}
    litres, limiting = largest_bath(stock, rates)
    assert all(rates[name] * litres <= stock[name] for name in shelf)
    assert rates[limiting] * litres == stock[limiting]


class Days(NamedTuple):
    name: str
    wait_days: int = 0
    lasts_days: int = 0


TAW = spans([Days("Cure", 0, 8), Days("Mix", 1), Days("Bath", 0, 11), Days("Oil", 1)])


def test_days_of_a_recipe_are_counted_from_its_first() -> None:
    assert TAW == {"Cure": (0, 8), "Mix": (9, 9), "Bath": (9, 20), "Oil": (21, 21)}


@pytest.mark.parametrize(
    ("name", "day", "tied"),
    [
        ("bath", None, ("Bath", 9)),
        ("Bath", 9, ("Bath", 9)),
        ("Bath", 20, ("Bath", 20)),
        ("", 9, ("Mix", 9)),
        ("", 12, ("Bath", 12)),
        ("", 20, ("Bath", 20)),
        ("", 21, ("Oil", 21)),
        ("", None, ("Cure", 0)),
    ],
)
def test_a_line_is_tied_by_its_step_or_by_its_day(name: str, day: int | None, tied: tuple[str, int]) -> None:
    assert tie(name, day, TAW) == tied


def test_without_steps_the_day_stands_alone() -> None:
    assert tie("", 12, {}) == ("", 12)
    assert tie("", None, {}) == ("", 0)


@pytest.mark.parametrize(
    ("name", "day", "field", "words"),
    [
        ("Bath", 0, "day", "Day 0 and the step Bath do not agree: Bath runs from day 9 to day 20"),
        ("Oil", 20, "day", "Day 20 and the step Oil do not agree: Oil runs on day 21"),
        ("Bth", None, "step", "no step “Bth”. Its steps are Cure, Mix, Bath, Oil"),
        ("", 22, "day", "No step runs on day 22 of the recipe: its last step, Oil, ends on day 21"),
    ],
)
def test_what_does_not_agree_or_is_not_there_is_refused_with_both_named(
    name: str, day: int | None, field: str, words: str
) -> None:
    with pytest.raises(Refused, match=words) as refusal:
        tie(name, day, TAW)
    assert refusal.value.field == field


def test_a_day_between_two_steps_names_the_next() -> None:
    apart = spans([Days("Salt"), Days("Bath", 5, 3)])
    with pytest.raises(Refused, match="No step runs on day 2 of the recipe: Bath begins on day 5"):
        tie("", 2, apart)
