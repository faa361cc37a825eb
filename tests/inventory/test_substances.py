"""Exact substances and what they stand for."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from inventory.errors import Refused
from inventory.money import from_steps
from inventory.substances import SUBSTANCES, alkali_equal, aluminium_equal, co2_litres, substance_slug

ALUMS = [slug for slug, row in SUBSTANCES.items() if row.aluminium_per_mol]
ALKALIS = [slug for slug, row in SUBSTANCES.items() if row.alkali_per_mol]
grams = st.integers(1, 10**8).map(lambda steps: from_steps(steps, 3))


@pytest.mark.parametrize("slug", SUBSTANCES)
def test_every_substance_is_found_by_slug_name_and_formula(slug: str) -> None:
    row = SUBSTANCES[slug]
    assert row.slug == slug
    assert [substance_slug(word) for word in (slug, row.name, row.name.upper(), row.formula)] == [slug] * 4


@pytest.mark.parametrize("slug", SUBSTANCES)
def test_every_caution_defers_to_the_data_sheet(slug: str) -> None:
    assert SUBSTANCES[slug].hazard.casefold().endswith("check the supplier's safety data sheet.")


@pytest.mark.parametrize("slug", SUBSTANCES)
def test_a_caution_without_a_published_classification_says_that_it_is_from_memory(slug: str) -> None:
    row = SUBSTANCES[slug]
    assert ("From memory:" in row.hazard) is (not row.source)


SERIOUS = "Serious eye damage from dust and splashes, acid in water: eye protection and gloves."
MILD = "No usual hazard; keep dust out of the eyes."
FOAMS = "foams and gives off carbon dioxide with alum or acid: add slowly, open vessel."
CAUTIONS = {
    # Serious eye damage: notified classification of aluminium sulphate, Eye Dam. 1, H318 (C&L Inventory of the EU).
    "aluminium_sulphate_anhydrous": SERIOUS,
    "aluminium_sulphate_14": SERIOUS,
    "aluminium_sulphate_16": SERIOUS,
    "aluminium_sulphate_18": SERIOUS,
    "potash_alum": MILD,
    "ammonium_alum": MILD,
    "soda_ash": f"Irritates the eyes; {FOAMS}",
    "soda_monohydrate": f"Irritates the eyes; {FOAMS}",
    "washing_soda_crystals": f"Irritates the eyes; {FOAMS}",
    "baking_soda": f"No usual hazard; {FOAMS}",
    "salt": MILD,
    "borax": "May harm fertility and the unborn child: no dust, gloves, locked away from children.",
    "hydrated_lime": "Burns the eyes, irritates skin and airways: eye protection, gloves, no dust.",
    "citric_acid": "Irritates the eyes: eye protection.",
}


def test_every_substance_has_its_own_caution_word_for_word() -> None:
    """Where work can hurt somebody no word may be lost or change hands unseen: written a second time, by hand."""
    assert {slug: row.warns for slug, row in SUBSTANCES.items()} == CAUTIONS


@pytest.mark.parametrize(
    ("word", "among"),
    [
        ("alum", {"potash_alum", "ammonium_alum", "aluminium_sulphate_14"}),
        ("Aluminum sulfate", {"aluminium_sulphate_14", "aluminium_sulphate_18", "aluminium_sulphate_anhydrous"}),
        ("soda", {"soda_ash", "washing_soda_crystals", "baking_soda"}),
        ("washing soda", {"soda_ash", "washing_soda_crystals"}),
        ("sodium carbonate", {"soda_ash", "soda_monohydrate", "washing_soda_crystals"}),
    ],
)
def test_a_word_for_several_things_is_refused_with_the_choices(word: str, among: set[str]) -> None:
    with pytest.raises(Refused, match="read the sack or its safety data sheet and say which: ") as refusal:
        substance_slug(word)
    choices = str(refusal.value).rpartition(": ")[2].removesuffix(".").split(", ")
    assert among <= set(choices) <= set(SUBSTANCES)


def test_an_unknown_word_names_near_ones() -> None:
    with pytest.raises(Refused, match="“potash alun” is not a substance known here; did you mean potash_alum"):
        substance_slug("potash alun")


def test_a_word_like_nothing_is_refused_without_a_guess() -> None:
    with pytest.raises(Refused, match="known here; choose one from the list, or leave it empty"):
        substance_slug("xyzzy")


def test_computing_with_a_bare_word_is_refused() -> None:
    with pytest.raises(Refused, match="is sold as different things"):
        aluminium_equal(Decimal(1), "alum", "potash_alum")


@given(grams, st.sampled_from(ALUMS), st.sampled_from(ALUMS))
def test_swapping_alums_there_and_back_returns_the_weight(weight: Decimal, one: str, other: str) -> None:
    back = aluminium_equal(aluminium_equal(weight, one, other), other, one)
    assert abs(back - weight) <= Decimal("0.002")


@given(grams, st.sampled_from(ALKALIS), st.sampled_from(ALKALIS))
def test_swapping_alkalis_there_and_back_returns_the_weight(weight: Decimal, one: str, other: str) -> None:
    back = alkali_equal(alkali_equal(weight, one, other), other, one)
    assert abs(back - weight) <= Decimal("0.004")


def test_two_moles_of_baking_soda_do_the_work_of_one_of_soda_ash() -> None:
    assert alkali_equal(Decimal("105.9875"), "soda_ash", "baking_soda") == Decimal("168.012")


def test_what_lacks_the_thing_asked_for_is_refused_by_name() -> None:
    with pytest.raises(Refused, match="salt carries no aluminium"):
        aluminium_equal(Decimal(1), "salt", "potash_alum")
    with pytest.raises(Refused, match="potash_alum carries no alkali"):
        alkali_equal(Decimal(1), "soda_ash", "potash_alum")
    with pytest.raises(Refused, match="hydrated_lime carries no carbonate"):
        co2_litres(Decimal(1), "hydrated_lime")


@pytest.mark.thorough
def test_the_demo_bath_froths_by_thirty_litres() -> None:
    assert co2_litres(Decimal(360), "washing_soda_crystals") == Decimal("30.265")
