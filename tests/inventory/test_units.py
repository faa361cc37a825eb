"""Reading measures and converting them exactly."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from inventory import formats, units
from inventory.errors import DensityNeeded, Refused
from inventory.factors import trimmed
from inventory.money import from_steps, half_up


@pytest.mark.parametrize("unit", units.KNOWN)
def test_every_offered_unit_reads_back_from_its_name_and_its_label(unit: str) -> None:
    assert units.parse(f"2 {unit}") == units.parse(f"2 {units.label(unit)}") == (Decimal(2), unit)
    assert units.base_of(unit) in units.BASES
    assert units.factor(unit) > 0


@pytest.mark.parametrize("base", units.BASES)
def test_a_base_unit_is_one_of_itself(base: str) -> None:
    assert units.base_of(base) == base
    assert units.ratio(base) == 1


@pytest.mark.parametrize(
    ("spelling", "unit"),
    [
        ("l", "L"),
        ("Litres", "L"),
        ("ml", "mL"),
        ("ML", "mL"),
        ("Kg", "kg"),
        ("grams", "g"),
        ("metre", "m"),
        ("meters", "m"),
        ("m²", "m2"),
        ("dm²", "dm2"),
        ("sq ft", "sq_ft"),
        ("sq. ft", "sq_ft"),
        ("sq in", "sq_inch"),
        ("square inches", "sq_inch"),
        ("cu. in.", "cubic_inch"),
        ("ft2", "sq_ft"),
        ("ft²", "sq_ft"),
        ("square feet", "sq_ft"),
        ("pc", "piece"),
        ("pcs", "piece"),
        ("pieces", "piece"),
        ("inches", "inch"),
        ("ft", "foot"),
        ("yards", "yard"),
        ("US cups", "us_cup"),
        ("US fl oz", "us_fluid_ounce"),
        ("lbs", "lb"),
        ("pounds", "lb"),
        ("oz.", "oz"),
    ],
)
def test_usual_spellings_are_read(spelling: str, unit: str) -> None:
    assert units.parse(f"3 {spelling}") == (Decimal(3), unit)


@pytest.mark.parametrize(
    ("text", "amount"),
    [
        ("0.72 kg", "0.72"),
        ("0,72kg", "0.72"),
        (".5 kg", "0.5"),
        ("2 1/2 kg", "2.5"),
        ("2½ kg", "2.5"),
        ("⅓ kg", "0.333333"),
        ("1/3 kg", "0.333333"),
        ("−2 kg", "-2"),
        ("- 1/2 kg", "-0.5"),
        ("12\u00a0kg", "12"),
        ("1,2500 kg", "1.2500"),
        ("1 234 kg", "1234"),
        ("1,234.5 kg", "1234.5"),
        ("1.234,5 kg", "1234.5"),
    ],
)
def test_amounts_are_read_with_either_decimal_mark_and_with_fractions(text: str, amount: str) -> None:
    assert units.parse(text) == (Decimal(amount), "kg")


@pytest.mark.parametrize("text", ["", "kg", "12", "1 23 kg", "1/0 kg", "2.5 1/2 kg", "1..2 kg", "kg 2", "1,2,3 kg"])
def test_what_can_be_misread_is_refused(text: str) -> None:
    with pytest.raises(
        Refused, match=r"cannot be read as an amount and a unit|is not a figure\. Write it like"
    ) as refusal:
        units.parse(text)
    assert refusal.value.field == "amount"


@pytest.mark.parametrize("text", ["1,250 kg", "1.250 kg", "12,500kg"])
def test_three_digits_after_one_mark_are_asked_about(text: str) -> None:
    whole = text.replace(",", "").replace(".", "").removesuffix("kg").strip()
    with pytest.raises(Refused, match=rf"may be {whole} or {Decimal(whole) / 1000:f}") as refusal:
        units.parse(text)
    assert refusal.value.field == "amount"


def test_words_that_are_kept_are_read_without_a_question() -> None:
    assert units.parse("1.250 kg", formats.PLAIN) == (Decimal("1.250"), "kg")


@pytest.mark.parametrize(
    ("word", "choices"),
    [
        ("gallon", ("us_gallon", "imperial_gallon")),
        ("gal", ("us_gallon", "imperial_gallon")),
        ("quarts", ("us_quart", "imperial_quart")),
        ("Pint", ("us_pint", "imperial_pint")),
        ("cups", ("us_cup", "metric_cup", "imperial_cup")),
        ("tbsp", ("us_tablespoon", "metric_tablespoon", "australian_tablespoon")),
        ("tsp.", ("us_teaspoon", "metric_teaspoon")),
        ("fl oz", ("us_fluid_ounce", "imperial_fluid_ounce")),
        ("fl. oz.", ("us_fluid_ounce", "imperial_fluid_ounce")),
        ("ounces", ("oz", "us_fluid_ounce", "imperial_fluid_ounce")),
        ("ton", ("tonne", "short_ton", "long_ton")),
    ],
)
def test_a_bare_word_of_many_sizes_is_refused_with_the_choices(word: str, choices: tuple[str, ...]) -> None:
    with pytest.raises(Refused, match=f"is not one size everywhere; say which: {', '.join(choices)}\\.$") as refusal:
        units.parse(f"2 {word}")
    assert refusal.value.field == "unit"
    assert all(units.factor(choice) > 0 for choice in choices)


@pytest.mark.parametrize(
    ("word", "near"),
    [
        ("gallns", "imperial_gallon"),
        ("legal cup", "metric_cup"),
        ("litter", "L"),
        ("peice", "piece"),
        ("tonn", "tonne"),
    ],
)
def test_an_unknown_unit_names_near_ones(word: str, near: str) -> None:
    with pytest.raises(Refused, match=rf"^“{word}” is not a unit known here; did you mean .*\b{near}\b"):
        units.base_of(word)


@pytest.mark.parametrize("word", ["mg", "xyzzy", "g*g", "kg m", "[mass]", "dimensionless", "__class__"])
def test_only_whole_known_names_are_units(word: str) -> None:
    with pytest.raises(Refused, match="is not a unit known here"):
        units.factor(word)


def test_a_volume_of_powder_needs_its_own_density() -> None:
    with pytest.raises(DensityNeeded, match=r"Salt is kept in g, and US cup becomes g.*fill one cup level, weigh"):
        units.to_base(Decimal(1), "us_cup", "g", name="Salt")


def test_a_weight_of_oil_becomes_volume_by_the_same_density() -> None:
    assert units.to_base(Decimal("91.6"), "g", "mL", density_g_per_ml=Decimal("0.916")) == 100


def test_a_density_is_not_used_where_none_is_needed() -> None:
    assert units.to_base(Decimal(2), "kg", "g", density_g_per_ml=Decimal("1.2")) == 2000


@pytest.mark.parametrize("density", ["0", "-1"])
def test_a_density_must_be_above_nought(density: str) -> None:
    with pytest.raises(ValueError, match="above zero"):
        units.to_base(Decimal(1), "us_cup", "g", density_g_per_ml=Decimal(density))


@pytest.mark.parametrize(
    ("unit", "base", "says"),
    [
        ("sq_ft", "g", "sq ft measures area, but Salt is kept by mass"),
        ("m", "cm2", "m measures length, but Salt is kept by area"),
        ("piece", "mL", "pc measures number of pieces, but Salt is kept by volume"),
        ("kg", "piece", "kg measures mass, but Salt is kept by number of pieces"),
    ],
)
def test_kinds_that_no_density_joins_are_refused_naming_both(unit: str, base: str, says: str) -> None:
    with pytest.raises(Refused, match=says):
        units.to_base(Decimal(1), unit, base, density_g_per_ml=Decimal(1), name="Salt")


def test_a_base_that_is_none_is_a_fault_of_the_program() -> None:
    with pytest.raises(ValueError, match="not a base unit"):
        units.to_base(Decimal(1), "kg", "kg")


larger_units = st.sampled_from([unit for unit in units.KNOWN if units.ratio(unit) >= 1])


@given(st.integers(0, 10**9), larger_units)
def test_an_amount_typed_to_three_places_reads_as_typed_after_storing(thousandths: int, unit: str) -> None:
    typed = from_steps(thousandths, 3)
    kept = units.to_base(typed, unit, units.base_of(unit))
    assert half_up(units.from_base(kept, unit), 3) == typed


@given(st.integers(0, 10**12), st.sampled_from([unit for unit in units.KNOWN if units.factor(unit) <= 1000]))
def test_a_held_quantity_survives_the_round_trip(thousandths: int, unit: str) -> None:
    """Six places of a unit up to a thousand base units are as fine as three places of the base."""
    held = from_steps(thousandths, 3)
    assert units.to_base(units.from_base(held, unit), unit, units.base_of(unit)) == held


@settings(max_examples=50)
@given(st.integers(0, 10**9), st.sampled_from(["g", "kg", "oz", "lb"]), st.sampled_from(["g", "kg", "oz", "lb"]))
def test_more_is_never_less_in_another_unit(grams: int, first: str, second: str) -> None:
    smaller, larger = sorted((first, second), key=units.factor)
    assert units.from_base(Decimal(grams), smaller, "g") >= units.from_base(Decimal(grams), larger, "g")


@given(st.integers(1, 10**7), st.integers(0, 3), st.sampled_from(units.KNOWN))
def test_what_was_typed_in_the_own_system_comes_back_as_typed(figure: int, places: int, unit: str) -> None:
    """For every unit of the system that a material is kept in, to three decimals; of a spoon, which is less than its base, two."""
    typed = from_steps(figure, places if units.ratio(unit) >= 1 else min(places, 2))
    kept = units.to_base(typed, unit, units.base_of(unit))
    assert units.from_base(kept, unit) == units.least(kept, unit) == Decimal(units.number(kept, unit)) == typed
    assert units.read(kept, unit) == typed or len(f"{typed.normalize():f}".partition(".")[2]) > 2


@pytest.mark.parametrize("unit", units.KNOWN)
def test_an_ordinary_figure_of_any_unit_is_shown_as_typed(unit: str) -> None:
    for figure in ("1", "10", "2.5", "0.25", "24", "110", "1.5", "3", "0.75"):
        kept = units.to_base(Decimal(figure), unit, units.base_of(unit))
        assert units.show(kept, unit) == f"{figure} {units.label(unit)}"


@given(st.lists(st.integers(-(10**6), 10**6), min_size=1, max_size=12), st.sampled_from(["lb", "us_gallon"]))
def test_what_is_said_to_programs_adds_up_in_pounds_and_gallons(steps: list[int], unit: str) -> None:
    held = [from_steps(step, 3) for step in steps]
    said = sum((Decimal(units.number(each, unit)) for each in held), Decimal(0))
    assert said == Decimal(units.number(sum(held, Decimal(0)), unit))


@pytest.mark.parametrize(
    ("amount", "unit", "base", "shown"),
    [
        ("4082.331", "kg", "", "4.082 kg"),
        ("9290.304", "dm2", "", "92.903 dm²"),
        ("3225.87", "g", "", "3\u202f225.87 g"),
        ("0.001", "kg", "", "0.000001 kg"),
        ("0", "lb", "", "0 lb"),
        ("399.999", "lb", "", "25 lb"),
        ("-5.333", "lb", "", "−0.333 lb"),
        ("4082.331", "lb", "g", "9 lb"),
    ],
)
def test_what_is_read_is_no_finer_than_it_is_spoken_of(amount: str, unit: str, base: str, shown: str) -> None:
    assert units.show(Decimal(amount), unit, base) == shown


def test_a_unit_of_one_system_is_kept_in_another_by_one_rounding() -> None:
    assert units.to_base(Decimal(1), "kg", "oz") == Decimal("35.274")
    assert units.to_base(Decimal(10), "lb", "g") == Decimal("4535.924")
    assert units.to_base(Decimal(1), "imperial_gallon", "us_fluid_ounce") == Decimal("153.722")
    assert units.to_base(Decimal(1), "us_cup", "oz", density_g_per_ml=Decimal("1.234")) == Decimal("10.298")


def test_numbers_are_plain_without_exponent_or_trailing_noughts() -> None:
    assert units.number(Decimal("5000000.000"), "g") == "5000000"
    assert units.number(Decimal("0.001"), "kg") == "0.000001"
    assert units.number(Decimal("0.000"), "kg") == "0"
    assert units.number(Decimal("-560.000"), "kg") == "-0.56"
    assert units.show(Decimal("9290.304"), "sq_ft", "cm2") == "10 sq ft"


typed = st.decimals(min_value=-(10**7), max_value=10**9, allow_nan=False, allow_infinity=False, places=6)
densities = st.one_of(st.none(), st.decimals(min_value="0.001", max_value=20, places=3))


@settings(max_examples=400)
@given(typed, st.sampled_from(units.KNOWN), st.sampled_from(units.BASES), densities)
def test_a_conversion_is_the_exact_one_rounded_once(
    amount: Decimal, unit: str, base: str, density: Decimal | None
) -> None:
    """Whatever is remembered of a pair of units: by the factors that the library of units gives, and fractions."""
    exact = Fraction(amount) * Fraction(units.factor(unit))
    measures = units.metric_of(unit), units.metric_of(base)
    if measures == ("mL", "g") and density:
        exact *= Fraction(density)
    elif measures == ("g", "mL") and density:
        exact /= Fraction(density)
    elif measures[0] != measures[1]:
        with pytest.raises((Refused, DensityNeeded)):
            units.to_base(amount, unit, base, density_g_per_ml=density)
        return
    found = units.to_base(amount, unit, base, density_g_per_ml=density)
    assert repr(found) == repr(half_up(exact / Fraction(units.factor(base)), 3))


@settings(max_examples=400)
@given(typed, st.sampled_from(units.KNOWN), st.sampled_from(units.BASES))
def test_the_way_back_is_the_shortest_figure_that_leads_to_what_is_kept(amount: Decimal, unit: str, base: str) -> None:
    one = Fraction(units.factor(unit)) / Fraction(units.factor(base))
    shorter = (half_up(Fraction(amount) / one, places) for places in range(6))
    shortest = next((each for each in shorter if half_up(Fraction(each) * one, 3) == amount), None)
    expected = half_up(Fraction(amount) / one, 6) if shortest is None else shortest
    assert repr(units.from_base(amount, unit, base)) == repr(trimmed(expected))
