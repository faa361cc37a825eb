"""What meets in a bath, what it may hold, and what takes the place of what."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from costing.make.baths.chemistry.bath import FROTH_CAUTION, BathFacts, Line, bath_facts, facts, strength
from costing.make.baths.chemistry.substitution import offer, substitute
from costing.make.errors import NotAbove
from inventory import substances
from inventory.errors import Refused

ALUM = Line("ALUMK", "potash_alum", Decimal(1440))
SALT = Line("SALT", "salt", Decimal(720))
SODA = Line("SODACRYS", "washing_soda_crystals", Decimal(360))
B1 = [ALUM, SALT, SODA]
LITRES = Decimal(18)


def verdict(found: BathFacts, slug: str) -> str:
    return next(row.verdict for row in found.saturation if row.substance == slug)


def test_the_first_bath_of_the_demonstration() -> None:
    found = bath_facts(B1, LITRES)
    assert found.aluminium_mol == Decimal("3.036")
    [soda] = found.alkalis
    assert (soda.mol, soda.hydroxide_mol) == (Decimal("1.258"), Decimal("2.516"))
    assert found.basicity == Decimal("27.6")
    assert found.co2_litres == Decimal("30.3")
    assert found.froth_warning
    assert "Never close the vessel" in FROTH_CAUTION
    assert [strength(line.grams, LITRES) for line in B1] == [Decimal("80.0"), Decimal("40.0"), Decimal("20.0")]


def test_bath_facts_agree_with_the_short_facts() -> None:
    short = facts(B1)
    long = bath_facts(B1, LITRES)
    assert short is not None
    assert (short.aluminium_mol, short.aluminium_g) == (long.aluminium_mol, long.aluminium_g)
    assert (short.basicity, short.co2_litres) == (long.basicity, long.co2_litres)


def test_the_short_facts_need_both_alum_and_soda() -> None:
    assert facts([Line("a", "potash_alum", Decimal(80))]) is None
    assert facts([SODA, SALT, Line("FLOUR", "", Decimal(5))]) is None


def test_several_alums_and_sodas_add_up() -> None:
    mixed = [
        Line("a", "potash_alum", Decimal(720)),
        Line(
            "b",
            "aluminium_sulphate_14",
            substances.aluminium_equal(Decimal(720), "potash_alum", "aluminium_sulphate_14"),
        ),
        Line("c", "soda_ash", substances.alkali_equal(Decimal(360), "washing_soda_crystals", "soda_ash")),
    ]
    found = bath_facts(mixed, LITRES)
    assert (found.aluminium_mol, found.basicity) == (Decimal("3.036"), Decimal("27.6"))


def test_lines_of_one_substance_are_one_in_the_water() -> None:
    halves = [Line("old sack", "potash_alum", Decimal(720)), Line("new sack", "Potash alum", Decimal(720))]
    found = bath_facts(halves, LITRES)
    assert [row.g_per_litre for row in found.saturation] == [Decimal("80.0")]


def test_gas_grows_with_warmth() -> None:
    cold, warm = (bath_facts(B1, LITRES, celsius=Decimal(at)).co2_litres for at in (0, 40))
    assert (cold, warm) == (Decimal("28.2"), Decimal("32.3"))


def test_soda_that_meets_no_acid_gives_off_no_gas() -> None:
    found = bath_facts([Line("BICARB", "baking_soda", Decimal(150))], Decimal(15))
    assert (found.co2_litres, found.froth_warning, found.headroom_litres) == (0, False, 0)
    assert found.basicity is None


def test_soda_in_a_sour_pickle_froths_without_any_alum() -> None:
    found = bath_facts([Line("C", "citric_acid", Decimal(176)), Line("B", "baking_soda", Decimal(80))], Decimal(8))
    assert found.co2_litres == Decimal("22.9")
    assert found.froth_warning


def test_headroom_grows_with_the_gas_once_a_quarter_of_it_is_more_than_half_the_bath() -> None:
    """80 g potash alum and 100 g soda ash a litre of 10 L give 227 L of gas: 56.7 L, and not the 5 L of half the bath."""
    strong = [Line("ALUM", "potash_alum", Decimal(800)), Line("SODA", "soda_ash", Decimal(1000))]
    found = bath_facts(strong, Decimal(10))
    assert (found.co2_litres, found.headroom_litres) == (Decimal("227.0"), Decimal("56.7"))


def test_headroom_is_half_the_bath_but_never_more_than_the_gas() -> None:
    assert bath_facts(B1, LITRES).headroom_litres == Decimal("9.0")
    little = [ALUM, Line("SODACRYS", "washing_soda_crystals", Decimal(36))]
    assert bath_facts(little, LITRES).headroom_litres == bath_facts(little, LITRES).co2_litres == Decimal("3.0")


def test_a_pinch_of_soda_is_no_froth() -> None:
    pinch = [ALUM, Line("SODACRYS", "washing_soda_crystals", Decimal(20))]
    assert not bath_facts(pinch, LITRES).froth_warning
    assert bath_facts(pinch, Decimal(16)).froth_warning


@pytest.mark.parametrize(("celsius", "expected"), [(20, "ok"), (15, "near"), (10, "near"), (5, "over"), (0, "over")])
def test_alum_falls_out_of_a_cold_bath(celsius: int, expected: str) -> None:
    found = bath_facts(B1, LITRES, celsius=Decimal(celsius))
    assert verdict(found, "potash_alum") == expected
    assert verdict(found, "salt") == "ok"


@pytest.mark.parametrize(
    ("grams", "expected"), [("928", "ok"), ("928.001", "near"), ("1160", "near"), ("1160.001", "over")]
)
def test_a_bath_is_near_the_limit_above_eighty_percent_of_it_and_over_above_all_of_it(
    grams: str, expected: str
) -> None:
    """At 20 °C a litre holds 116 g of potash alum: four fifths are 92.8 g."""
    found = bath_facts([Line("ALUMK", "potash_alum", Decimal(grams))], Decimal(10))
    assert (found.saturation[0].held, verdict(found, "potash_alum")) == (Decimal(116), expected)


def test_outside_the_table_nothing_is_said() -> None:
    found = bath_facts(B1, LITRES, celsius=Decimal(35))
    soda = next(row for row in found.saturation if row.substance == "washing_soda_crystals")
    assert (soda.held, soda.verdict) == (None, "unknown")
    assert [row.verdict for row in found.saturation] == ["ok", "ok", "unknown"]


def test_what_has_no_table_is_not_listed() -> None:
    found = bath_facts([Line("CITRIC", "citric_acid", Decimal(44)), Line("FLOUR", "", Decimal(500))], Decimal(2))
    assert found.saturation == ()


def test_an_empty_bath_and_negative_grams_are_refused() -> None:
    with pytest.raises(NotAbove, match="The bath must be above zero"):
        bath_facts(B1, Decimal(0))
    with pytest.raises(NotAbove, match="ALUMK must be above zero, not -1"):
        bath_facts([Line("ALUMK", "potash_alum", Decimal(-1))], LITRES)


def test_a_word_that_names_no_one_substance_is_refused() -> None:
    with pytest.raises(Refused, match="is sold as different things"):
        bath_facts([Line("alum", "alum", Decimal(80))], LITRES)
    with pytest.raises(Refused, match="is not a substance known here"):
        bath_facts([Line("x", "unobtainium", Decimal(80))], LITRES)


@given(st.integers(1, 100000), st.integers(1, 100000), st.integers(2, 9))
def test_a_bath_made_larger_keeps_its_basicity_and_strength(alum: int, soda: int, times: int) -> None:
    def made(by: int) -> BathFacts:
        lines = [Line("a", "potash_alum", Decimal(alum * by)), Line("s", "washing_soda_crystals", Decimal(soda * by))]
        return bath_facts(lines, LITRES * by)

    one, many = made(1), made(times)
    assert (one.basicity, one.saturation) == (many.basicity, many.saturation)


ALUMS = [slug for slug, row in substances.SUBSTANCES.items() if row.aluminium_per_mol]
ALKALIS = [slug for slug, row in substances.SUBSTANCES.items() if row.alkali_per_mol]


@given(st.integers(100, 100000), st.sampled_from(ALUMS), st.sampled_from(ALUMS), st.sampled_from(ALKALIS))
def test_equal_aluminium_keeps_the_basicity(weight: int, one: str, other: str, soda: str) -> None:
    def of(alum: str, grams: Decimal) -> Decimal:
        found = bath_facts([Line("a", alum, grams), Line("s", soda, Decimal(weight) / 4)], LITRES).basicity
        assert found is not None
        return found

    equal = substances.aluminium_equal(Decimal(weight), one, other)
    assert abs(of(other, equal) - of(one, Decimal(weight))) <= Decimal("0.1")


def test_no_soda_is_basicity_nought() -> None:
    assert bath_facts([ALUM], LITRES).basicity == 0


def test_offer_falls_with_every_use() -> None:
    first = offer(B1, Decimal(14200))
    second = offer(B1, 2 * Decimal(14200))
    assert first is not None
    assert second is not None
    assert (first.aluminium_g_per_kg, first.alum_g_per_kg) == (Decimal("5.8"), Decimal("101.4"))
    assert (second.aluminium_g_per_kg, second.alum_g_per_kg) == (Decimal("2.9"), Decimal("50.7"))


def test_offer_counts_all_alums_as_the_first() -> None:
    topped = [ALUM, Line("top-up", "aluminium_sulphate_14", Decimal("902.089"))]
    found = offer(topped, Decimal(14200))
    assert found is not None
    assert (found.alum, found.alum_g_per_kg) == ("potash_alum", Decimal("202.8"))


def test_offer_needs_alum_and_weighed_skins() -> None:
    assert offer([SALT], Decimal(14200)) is None
    with pytest.raises(NotAbove, match="weigh them drained"):
        offer(B1, Decimal(0))


def test_alums_replace_each_other_by_aluminium_and_say_it_is_not_the_same() -> None:
    found = substitute(Decimal(900), "aluminium_sulphate_14", "potassium alum")
    assert round(found.grams) == 1437
    assert "Equal metal is not equal tanning" in found.caution


@pytest.mark.parametrize(("to", "grams"), [("washing_soda_crystals", "2.700"), ("baking_soda", "1.585")])
def test_sodas_replace_each_other_by_alkali(to: str, grams: str) -> None:
    found = substitute(Decimal(1), "soda_ash", to)
    assert found.grams == Decimal(grams)
    assert "slowly" in found.caution


@given(st.sampled_from(["potash_alum", "ammonium_alum", "aluminium_sulphate_16"]), st.integers(1, 10**6))
def test_a_substitute_substituted_back_is_the_same_to_a_milligram_or_two(slug: str, grams: int) -> None:
    there = substitute(Decimal(grams), "aluminium_sulphate_18", slug).grams
    back = substitute(there, slug, "aluminium_sulphate_18").grams
    assert abs(back - grams) <= Decimal("0.002")


@pytest.mark.parametrize(
    ("ours", "theirs", "carries"),
    [
        ("potash_alum", "soda_ash", "soda_ash carries no aluminium"),
        ("soda_ash", "potash_alum", "potash_alum carries no carbonate"),
        ("soda_ash", "hydrated_lime", "hydrated_lime carries no carbonate"),
        ("salt", "soda_ash", "salt carries no aluminium or carbonate"),
    ],
)
def test_unlike_things_do_not_replace_each_other(ours: str, theirs: str, carries: str) -> None:
    with pytest.raises(Refused, match=carries):
        substitute(Decimal(10), ours, theirs)
