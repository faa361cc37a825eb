"""A bath from the maker's recipe, jars and shelf: amounts, measures, stand-ins, cost, room."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from costing.make.baths import selectors as baths
from costing.make.errors import MissingMeasure
from costing.make.recipes import services as recipes
from costing.models import RecipeVersion
from inventory.base.accounting import services as workshop
from inventory.errors import DensityNeeded, Refused
from inventory.models import CostFlow, Material, Place
from tests import factories

pytestmark = pytest.mark.django_db
LITRES = Decimal(18)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


@pytest.fixture
def taw() -> RecipeVersion:
    """Alum, salt and soda by the litre, a neutralising bath by itself, oil a skin; 6 L a skin."""
    alum = factories.material("ALUMK", on_hand="2.6", value="17.05", substance="potash_alum")
    salt = factories.material("SALT", on_hand="12", value="5.40", substance="salt")
    soda = factories.material("SODACRYS", on_hand="2.1", value="5.34", substance="washing_soda_crystals")
    mild = factories.material("BICARB", on_hand="1", value="3.20", substance="baking_soda")
    return factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre", how="bath"),
        recipes.Line(salt, Decimal(40), "g", "per_litre", how="bath"),
        recipes.Line(soda, Decimal(20), "g", "per_litre", how="bath, dissolved and slowly"),
        recipes.Line(mild, Decimal(150), "g", "per_bath", how="neutralise", day=11),
        litres_per_skin=Decimal(6),
    )


def tub(litres: str, name: str = "Tub") -> Place:
    return factories.place(name, Place.Kind.TUB, litres=Decimal(litres))


def test_the_bath_of_eighteen_litres(taw: RecipeVersion) -> None:
    found = baths.bath(taw, LITRES)
    assert [(line.material.code, line.quantity, line.measure, line.weight) for line in found.lines] == [
        ("ALUMK", Decimal(1440), "1\u202f440 g", "1.44 kg"),
        ("SALT", Decimal(720), "720 g", "0.72 kg"),
        ("SODACRYS", Decimal(360), "360 g", "0.36 kg"),
    ]
    assert found.skins == 3
    assert (found.facts.aluminium_mol, found.facts.basicity) == (Decimal("3.036"), Decimal("27.6"))
    assert (found.facts.co2_litres, found.facts.headroom_litres) == (Decimal("30.3"), Decimal("9.0"))


def test_what_goes_in_on_another_day_is_another_bath(taw: RecipeVersion) -> None:
    assert "BICARB" not in [line.material.code for line in baths.bath(taw, LITRES).lines]


def test_a_line_on_another_basis_in_the_same_step_belongs_to_the_bath() -> None:
    alum = factories.material("ALUMK", on_hand=5, substance="potash_alum")
    oil, flour = factories.material("OIL", "L", on_hand=1), factories.material("FLOUR", on_hand=9)
    version = factories.recipe(
        "R9",
        recipes.Line(oil, Decimal(20), "mL", "per_skin", how="Bath, last of all"),
        recipes.Line(alum, Decimal(80), "g", "per_litre", how="bath"),
        recipes.Line(flour, Decimal(480), "g", "per_skin", how="paste"),
    )
    found = baths.bath(version, Decimal(10), skins=2)
    assert [(line.material.code, line.weight) for line in found.lines] == [("OIL", "0.04 L"), ("ALUMK", "0.8 kg")]
    with pytest.raises(MissingMeasure, match="how many skins"):
        baths.bath(version, Decimal(10))


def test_a_recipe_by_the_litre_on_two_days_has_two_baths() -> None:
    bark = factories.material("BARK", on_hand=20)
    version = factories.recipe(
        "R3",
        recipes.Line(bark, Decimal(200), "g", "per_litre", how="liquor", day=12),
        recipes.Line(bark, Decimal(150), "g", "per_litre", how="liquor", day=31),
    )
    first, second = baths.bath(version, Decimal(10)), baths.bath(version, Decimal(10), day=31)
    assert (first.day, first.other_days, first.lines[0].quantity) == (12, (31,), Decimal(2000))
    assert (second.day, second.other_days, second.lines[0].quantity) == (31, (12,), Decimal(1500))
    with pytest.raises(Refused, match="no bath on day 5; it does on day 12 and 31"):
        baths.bath(version, Decimal(10), day=5)


def test_a_recipe_that_reckons_nothing_per_litre_has_no_bath() -> None:
    flour = factories.material("FLOUR")
    version = factories.recipe("R2", recipes.Line(flour, Decimal(480), "g", "per_skin"))
    with pytest.raises(Refused, match="Plan a batch by it"):
        baths.bath(version, LITRES)


def cups(density: str | None) -> RecipeVersion:
    salt = factories.material("SALT", on_hand=12, value="5.40", density_g_per_ml=Decimal("1.2"))
    version = factories.recipe("R5", recipes.Line(salt, Decimal("0.5"), "us_cup", "per_litre"))
    Material.objects.update(density_g_per_ml=None if density is None else Decimal(density))
    return version


def test_a_recipe_in_cups_is_measured_in_cups_and_weighed() -> None:
    [line] = baths.bath(cups("1.2"), LITRES).lines
    assert (line.measure, line.weight) == ("9 US cup", "2.555 kg")


def test_a_coarser_jar_takes_more_cups_for_the_same_weight() -> None:
    [line] = baths.bath(cups("0.9"), LITRES).lines
    assert (line.measure, line.quantity) == ("12 US cup", Decimal("2555.154"))


def test_cups_of_a_jar_that_was_never_weighed_are_refused_with_the_way_out() -> None:
    with pytest.raises(DensityNeeded, match=r"Material SALT \(SALT\) is kept in g, and US cup.*weigh what is in it"):
        baths.bath(cups(None), LITRES)


def test_another_alum_brings_the_same_metal_and_its_caution(taw: RecipeVersion) -> None:
    sulphate = factories.material("ALSUL", on_hand=1, value="3.00", substance="aluminium_sulphate_14")
    found = baths.bath(taw, LITRES, use=[sulphate])
    line = found.lines[0]
    assert (line.material.code, line.quantity, line.measure) == ("ALSUL", Decimal("902.089"), "902.1 g")
    assert (line.asked, line.instead_of) == ("1\u202f440 g", Material.objects.get(code="ALUMK"))
    assert "Equal metal is not equal tanning" in line.caution
    assert (found.facts.aluminium_mol, found.facts.basicity) == (Decimal("3.036"), Decimal("27.6"))
    assert not found.lines[1].caution
    assert found.allows is not None
    # 1 kg at 50.116 g a litre.
    assert (found.allows.litres, found.allows.limited_by) == (Decimal("19.9"), "Material ALSUL")


def test_nine_hundred_grams_of_sulphate_are_1437_of_potash_alum() -> None:
    sulphate = factories.material("ALSUL", substance="aluminium_sulphate_14")
    alum = factories.material("ALUMK", on_hand=2, substance="potash_alum")
    version = factories.recipe("R1", recipes.Line(sulphate, Decimal(50), "g", "per_litre"))
    [line] = baths.bath(version, LITRES, use=[alum]).lines
    assert round(line.quantity) == 1437


def test_another_soda_brings_the_same_alkali(taw: RecipeVersion) -> None:
    ash = factories.material("ASH", on_hand=1, value="2.00", substance="soda_ash")
    found = baths.bath(taw, LITRES, use=[ash])
    assert (found.lines[2].material.code, found.lines[2].quantity) == ("ASH", Decimal("133.347"))
    assert found.facts.basicity == Decimal("27.6")
    assert "slowly" in found.lines[2].caution


def test_the_same_substance_from_another_sack_carries_no_caution(taw: RecipeVersion) -> None:
    sack = factories.material("ALUMK2", on_hand=2, substance="potash_alum")
    line = baths.bath(taw, LITRES, use=[sack]).lines[0]
    assert (line.quantity, line.caution) == (Decimal(1440), "")


def test_only_its_like_takes_the_place_of_a_material(taw: RecipeVersion) -> None:
    gloves = factories.material("GLOVE", "piece")
    with pytest.raises(Refused, match="Material GLOVE can take the place of nothing"):
        baths.bath(taw, LITRES, use=[gloves])
    pickle = factories.recipe("R4", recipes.Line(Material.objects.get(code="SALT"), Decimal(40), "g", "per_litre"))
    ash = factories.material("ASH", substance="soda_ash")
    with pytest.raises(Refused, match="no soda in this bath"):
        baths.bath(pickle, LITRES, use=[ash])
    mild = Material.objects.get(code="BICARB")
    with pytest.raises(Refused, match="choose one of them"):
        baths.bath(taw, LITRES, use=[ash, mild])


def test_a_solution_of_known_strength_stands_in_by_what_is_dissolved_in_it(taw: RecipeVersion) -> None:
    liquor = factories.material(
        "ALLIQ", "L", on_hand=20, value="8.00", substance="aluminium_sulphate_14", density_g_per_ml=Decimal("0.100")
    )
    found = baths.bath(taw, LITRES, use=[liquor])
    line = found.lines[0]
    # 902.089 g of sulphate at 100 g a litre.
    assert (line.material, line.quantity, line.grams) == (liquor, Decimal("9020.890"), Decimal("902.089"))
    assert (line.measure, line.short) == ("902.1 g", Decimal(0))
    assert (found.facts.aluminium_mol, found.facts.basicity) == (Decimal("3.036"), Decimal("27.6"))


def test_a_powder_kept_by_the_cup_is_replaced_through_its_density() -> None:
    jar = factories.material("ALCUP", "L", substance="potash_alum", density_g_per_ml=Decimal("0.9"))
    sulphate = factories.material("ALSUL", on_hand=1, substance="aluminium_sulphate_14")
    version = factories.recipe("R8", recipes.Line(jar, Decimal(100), "mL", "per_litre"))
    [line] = baths.bath(version, Decimal(10), use=[sulphate]).lines
    assert line.quantity == Decimal("563.806")  # what 900 g of potash alum bring


def test_a_stand_in_of_unknown_strength_is_refused_with_what_to_record(taw: RecipeVersion) -> None:
    liquor = factories.material("ALLIQ", "L", on_hand=20, value="8.00", substance="potash_alum", name="Alum liquor")
    with pytest.raises(Refused, match=r"Alum liquor \(ALLIQ\) .* how much potash alum it holds") as told:
        baths.bath(taw, LITRES, use=[liquor])
    assert "Weigh a cup" in str(told.value)
    assert told.value.field == "use"
    lumps = factories.material("ALPC", "piece", on_hand=3, substance="potash_alum")
    with pytest.raises(Refused, match="kept by the piece"):
        baths.bath(taw, LITRES, use=[lumps])


def test_a_jar_by_volume_counts_for_the_froth_of_a_tub() -> None:
    alum = factories.material("ALCUP", "L", substance="potash_alum", density_g_per_ml=Decimal(1))
    soda = factories.material("SODA", substance="washing_soda_crystals")
    version = factories.recipe(
        "R9",
        recipes.Line(alum, Decimal(80), "mL", "per_litre", how="bath"),
        recipes.Line(soda, Decimal(20), "g", "per_litre", how="bath"),
    )
    assert baths.misfit(version, LITRES, tub("20")) is not None
    assert baths.misfit(version, LITRES, tub("30", "Large tub")) is None


def test_a_stand_in_without_a_density_is_measured_in_its_own_unit() -> None:
    alum = factories.material("ALUMK", substance="potash_alum", density_g_per_ml=Decimal("0.9"))
    other = factories.material("ALNH4", substance="ammonium_alum")
    version = factories.recipe("R6", recipes.Line(alum, Decimal(1), "metric_cup", "per_litre"))
    [line] = baths.bath(version, Decimal(10), use=[other]).lines
    assert (line.asked, line.measure) == ("10 metric cup", "2.15 kg")


@pytest.mark.parametrize("flow", [CostFlow.AVERAGE, CostFlow.FIFO])
def test_a_bath_is_priced_as_it_would_leave_the_shelf(taw: RecipeVersion, flow: CostFlow) -> None:
    workshop.set_up(cost_flow=flow)
    for code, quantity, value in (("ALUMK", 2, "14.00"), ("SODACRYS", 1, "1.00")):
        factories.receive(Material.objects.get(code=code), quantity, value, on=date(2025, 3, 10))
    found = baths.bath(taw, LITRES)
    batch = factories.batch("B1", version=taw, litres=LITRES)
    really = [
        -factories.put(batch, line.material, line.quantity / 1000, on=date(2025, 3, 31)).posting.movements.get().value
        for line in found.lines
    ]
    assert [line.value for line in found.lines] == really
    assert found.cost == sum(really)


def test_looking_posts_nothing(taw: RecipeVersion) -> None:
    baths.bath(taw, LITRES)
    assert Material.objects.get(code="ALUMK").on_hand == Decimal(2600)


def test_cost_a_litre_and_a_skin(taw: RecipeVersion) -> None:
    found = baths.bath(taw, LITRES)
    # 17.05 × 1.44/2.6 = 9.44, 5.40 × 0.72/12 = 0.32, 5.34 × 0.36/2.1 = 0.92.
    assert (found.cost, found.cost_per_litre, found.cost_per_skin) == (
        Decimal("10.68"),
        Decimal("0.59"),
        Decimal("3.56"),
    )


def test_a_short_line_says_how_much_and_is_priced_by_what_is_there(taw: RecipeVersion) -> None:
    found = baths.bath(taw, Decimal(40))
    alum = found.lines[0]
    assert (alum.short, alum.value) == (Decimal(600), Decimal("20.98"))  # 17.05 × 3.2 ÷ 2.6
    assert not found.unpriced


def test_what_is_not_there_at_all_has_no_price_and_is_named() -> None:
    version = factories.recipe("R7", recipes.Line(factories.material("ALUMK"), Decimal(80), "g", "per_litre"))
    found = baths.bath(version, LITRES)
    assert (found.lines[0].value, found.unpriced, found.cost) == (None, ("Material ALUMK",), 0)


def test_two_lines_of_one_material_share_one_shelf() -> None:
    salt = factories.material("SALT", on_hand=1, value="1.00")
    two = [recipes.Line(salt, Decimal(60), "g", "per_litre") for _ in range(2)]
    found = baths.bath(factories.recipe("R8", *two), Decimal(10))
    assert [line.short for line in found.lines] == [Decimal(0), Decimal(200)]
    assert found.allows is not None
    assert found.allows.litres == Decimal("8.3")


def test_the_shelf_sets_a_limit(taw: RecipeVersion) -> None:
    found = baths.bath(taw, LITRES)
    assert found.allows is not None
    assert found.allows.words() == "32.5 L, 5 skins"


def test_alum_on_offer_needs_the_weight_of_the_skins(taw: RecipeVersion) -> None:
    assert baths.bath(taw, LITRES).offer is None
    offer = baths.bath(taw, LITRES, weight_g=Decimal(14200)).offer
    assert offer is not None
    assert (offer.aluminium_g_per_kg, offer.alum_g_per_kg) == (Decimal("5.8"), Decimal("101.4"))


def test_the_froth_caution_stands_beside_the_soda(taw: RecipeVersion) -> None:
    alum, salt, soda = baths.bath(taw, LITRES).lines
    assert "Never close the vessel" in soda.care[0]
    assert not alum.care
    assert not salt.care


def test_the_cautions_are_those_of_what_really_goes_in(taw: RecipeVersion) -> None:
    plain = {caution.key for caution in baths.bath(taw, LITRES).cautions}
    sulphate = factories.material("ALSUL", substance="aluminium_sulphate_14")
    swapped = {caution.key for caution in baths.bath(taw, LITRES, use=[sulphate]).cautions}
    assert "gas" in plain
    assert swapped - plain == {"dust"}


def test_a_vessel_must_hold_the_bath_and_its_froth(taw: RecipeVersion) -> None:
    assert baths.bath(taw, LITRES, vessel=tub("27")).too_small is None
    refusal = baths.bath(taw, LITRES, vessel=tub("20", "Small")).too_small
    assert refusal is not None
    assert refusal.largest == Decimal("13.3")
    assert baths.bath(taw, LITRES, vessel=factories.place("Bucket", Place.Kind.TUB)).too_small is None


def test_the_largest_bath_in_a_tub_keeps_its_room(taw: RecipeVersion) -> None:
    place = tub("20")
    litres = baths.largest_in(taw, place)
    assert litres == Decimal("13.3")
    assert baths.misfit(taw, litres, place) is None
    assert baths.misfit(taw, litres + Decimal("0.1"), place) is not None


def test_the_largest_bath_minds_gas_that_does_not_shrink_with_it() -> None:
    """20 g of baking soda give 5.7 L of gas whatever the bath: half of a small bath is less, half of a large one more."""
    alum = factories.material("ALUMK", substance="potash_alum")
    mild = factories.material("BICARB", substance="baking_soda")
    version = factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre", how="bath"),
        recipes.Line(mild, Decimal(20), "g", "per_bath", how="bath"),
    )
    place = tub("20")
    litres = baths.largest_in(version, place)
    assert litres is not None
    assert baths.misfit(version, litres, place) is None
    assert baths.misfit(version, litres + Decimal("0.1"), place) is not None


def test_no_bath_fits_a_thimble(taw: RecipeVersion) -> None:
    assert baths.largest_in(taw, tub("0.1")) is None


@pytest.mark.parametrize("celsius", ["-1", "101"])
def test_water_is_water_only_between_ice_and_steam(taw: RecipeVersion, celsius: str) -> None:
    with pytest.raises(Refused, match=f"of {celsius} cannot be: it lies from 0 to 100") as refusal:
        baths.bath(taw, LITRES, celsius=Decimal(celsius))
    assert refusal.value.field == "celsius"


@pytest.mark.parametrize("flow", [CostFlow.AVERAGE, CostFlow.FIFO])
def test_a_bath_takes_as_many_queries_for_many_lines_as_for_one(flow: CostFlow) -> None:
    workshop.set_up(cost_flow=flow)
    counts = []
    for number, lines in ((1, 1), (2, 30)):
        made = [
            recipes.Line(factories.material(f"M{number}-{each}", on_hand=1, value=1), Decimal(1), "g", "per_litre")
            for each in range(lines)
        ]
        version = factories.recipe(f"R{number}", *made)
        with CaptureQueriesContext(connection) as seen:
            baths.bath(version, Decimal(2))
        counts.append(len(seen))
    assert counts[0] == counts[1]
