"""A batch's bath: it fits its tub, it may be made smaller at the tub, and another alum or soda counts against its lines."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

import pytest

from costing.make.batches import services as batches_services
from costing.make.batches.issues import services as batches
from costing.make.batches.requirements import selectors as read
from costing.make.batches.stays import selectors as stays_selectors
from costing.make.errors import VesselTooSmall
from costing.make.foresight import selectors as restock_selectors
from costing.make.recipes import services as recipes
from costing.models import Batch, RecipeVersion, Use
from inventory.base.accounting import services as workshop
from inventory.errors import Refused, ShortStock
from inventory.models import Material, Movement, Place
from tests import factories
from tests.factories import DAY

pytestmark = pytest.mark.django_db
LITRES = Decimal(18)


@pytest.fixture(autouse=True)
def _day() -> None:
    workshop.pin_today(on=date(2025, 3, 31))


@pytest.fixture
def taw() -> RecipeVersion:
    alum = factories.material("ALUMK", on_hand="2", value="9.00", substance="potash_alum")
    soda = factories.material("SODACRYS", on_hand="2", value="5.00", substance="washing_soda_crystals")
    oil = factories.material("OILN", "L", on_hand=1, value="12.00")
    return factories.recipe(
        "R1",
        recipes.Line(alum, Decimal(80), "g", "per_litre", how="bath"),
        recipes.Line(soda, Decimal(20), "g", "per_litre", how="bath"),
        recipes.Line(oil, Decimal(80), "mL", "per_skin", how="oil", day=12),
        litres_per_skin=Decimal(6),
    )


def tub(litres: str) -> Place:
    return factories.place(f"Tub {litres}", Place.Kind.TUB, litres=Decimal(litres))


def amount(code: str, quantity: str, unit: str = "g", planned: str | None = None) -> batches.Amount:
    wanted = None if planned is None else Decimal(planned)
    return batches.Amount(Material.objects.get(code=code), Decimal(quantity), unit, wanted)


def left(code: str) -> Decimal:
    rows = read.amounts(stays_selectors.detailed().get())
    return next(row.left for row in rows if row.material.code == code)


def test_a_bath_larger_than_its_tub_is_not_planned(taw: RecipeVersion) -> None:
    with pytest.raises(
        VesselTooSmall, match=r"18 L with 9 L of room.*vessel of 20 L; make at most 13.3 L, or take a larger"
    ):
        factories.batch("B1", version=taw, litres=LITRES, place=tub("20"))
    assert not Batch.objects.exists()


def test_a_tub_that_holds_bath_and_froth_takes_it(taw: RecipeVersion) -> None:
    assert factories.batch("B1", version=taw, litres=LITRES, place=tub("27")).place is not None


def test_a_tub_that_nobody_measured_is_taken_on_trust(taw: RecipeVersion) -> None:
    assert factories.batch("B1", version=taw, litres=Decimal(500), place=factories.place("Pit", Place.Kind.TUB))


def change(batch: Batch, **more: object) -> Batch:
    given = {"start": DAY, "litres": LITRES, "planned_skins": 0, "place": batch.place, "frames": None, "note": ""}
    return batches_services.change(batch=batch, **{**given, **more})  # type: ignore[arg-type]


def test_a_change_to_a_bath_or_tub_that_does_not_fit_is_refused(taw: RecipeVersion) -> None:
    batch = factories.batch("B1", version=taw, litres=LITRES, place=tub("27"))
    with pytest.raises(VesselTooSmall):
        change(batch, litres=Decimal(19))
    with pytest.raises(VesselTooSmall):
        change(batch, place=tub("20"))
    batch.refresh_from_db()
    assert (batch.litres, batch.place) == (Decimal(18000), Place.objects.get(name="Tub 27"))


def test_a_note_can_be_written_on_a_batch_whose_tub_was_measured_smaller_since(taw: RecipeVersion) -> None:
    batch = factories.batch("B1", version=taw, litres=LITRES, place=tub("27"))
    Place.objects.update(litres=Decimal(20000))
    assert change(batch, note="Half full").note == "Half full"


def test_what_makes_the_bath_is_refused_where_the_tub_is_too_small_and_oil_is_not(taw: RecipeVersion) -> None:
    batch = factories.batch("B1", version=taw, litres=LITRES, place=tub("27"))
    Place.objects.update(litres=Decimal(20000))
    with pytest.raises(VesselTooSmall):
        batches.issue(batch=batch, on=DAY, amounts=[amount("ALUMK", "1440")])
    assert not Use.objects.exists()
    assert batches.issue(batch=batch, on=DAY, amounts=[amount("OILN", "80", "mL")])


def test_a_smaller_bath_decided_at_the_tub_is_the_batchs_from_then_on(taw: RecipeVersion) -> None:
    batch = factories.batch("B1", version=taw, litres=LITRES)
    batches.issue(batch=batch, on=DAY, amounts=[amount("ALUMK", "560", planned="560")], litres=Decimal(7))
    batch.refresh_from_db()
    assert (batch.litres, left("ALUMK"), left("SODACRYS")) == (Decimal(7000), Decimal(0), Decimal(140))


def test_a_smaller_bath_that_fits_may_be_poured_where_the_planned_one_would_not(taw: RecipeVersion) -> None:
    batch = factories.batch("B1", version=taw, litres=LITRES, place=tub("27"))
    Place.objects.update(litres=Decimal(20000))
    assert batches.issue(batch=batch, on=DAY, amounts=[amount("ALUMK", "1000")], litres=Decimal("12.5"))


def test_a_short_shelf_leaves_the_litres_as_they_were(taw: RecipeVersion) -> None:
    batch = factories.batch("B1", version=taw, litres=LITRES)
    with pytest.raises(ShortStock):
        batches.issue(batch=batch, on=DAY, amounts=[amount("ALUMK", "9999")], litres=Decimal(7))
    batch.refresh_from_db()
    assert batch.litres == Decimal(18000)


def test_a_smaller_bath_is_poured_once_though_sent_twice(taw: RecipeVersion) -> None:
    batch = factories.batch("B1", version=taw, litres=LITRES)
    first, again = (
        batches.issue(batch=batch, on=DAY, amounts=[amount("ALUMK", "560")], litres=Decimal(litres), request_key="k")
        for litres in (7, 9)
    )
    assert first == again
    batch.refresh_from_db()
    assert batch.litres == Decimal(7000)
    assert Movement.objects.filter(kind="use").count() == 1


def test_a_bath_of_nothing_is_refused(taw: RecipeVersion) -> None:
    batch = factories.batch("B1", version=taw, litres=LITRES)
    with pytest.raises(Refused, match="litres of bath must be more than nothing") as refusal:
        batches.issue(batch=batch, on=DAY, amounts=[amount("ALUMK", "1")], litres=Decimal(0))
    assert refusal.value.field == "litres"


@pytest.mark.parametrize(
    ("code", "substance", "grams", "line"),
    [("ALSUL", "aluminium_sulphate_14", "902.1", "ALUMK"), ("ASH", "soda_ash", "133.3", "SODACRYS")],
)
def test_a_stand_in_counts_against_the_line_it_stood_in_for(
    taw: RecipeVersion, code: str, substance: str, grams: str, line: str
) -> None:
    other = factories.material(code, on_hand=2, value="4.00", substance=substance)
    batch = factories.batch("B1", version=taw, litres=LITRES)
    factories.put(batch, other, Decimal(grams) / 1000)
    rows = {row.material.code: row for row in read.amounts(stays_selectors.detailed().get())}
    assert (rows[line].left, rows[line].instead) == (Decimal(0), (f"Material {code}",))
    other_line = "SODACRYS" if line == "ALUMK" else "ALUMK"
    assert rows[other_line].left == rows[other_line].planned


def test_half_a_stand_in_leaves_half_the_line(taw: RecipeVersion) -> None:
    ash = factories.material("ASH", on_hand=2, value="4.00", substance="soda_ash")
    factories.put(factories.batch("B1", version=taw, litres=LITRES), ash, "0.066673")
    assert left("SODACRYS") == pytest.approx(Decimal(180), abs=Decimal("0.01"))
    assert left("ALUMK") == Decimal(1440)


def test_a_stand_in_taken_back_counts_no_more(taw: RecipeVersion) -> None:
    ash = factories.material("ASH", on_hand=2, value="4.00", substance="soda_ash")
    use = factories.put(factories.batch("B1", version=taw, litres=LITRES), ash, "0.1333")
    batches.reverse(use=use, reason="wrong sack")
    assert left("SODACRYS") == Decimal(360)


def test_one_stand_in_counts_only_once_for_two_lines_of_its_kind() -> None:
    alum = factories.material("ALUMK", on_hand=2, substance="potash_alum")
    two = [recipes.Line(alum, Decimal(10), "g", "per_litre"), recipes.Line(alum, Decimal(10), "g", "per_litre", day=5)]
    other = factories.material("ALNH4", on_hand=2, value="4.00", substance="ammonium_alum")
    batch = factories.batch("B1", version=factories.recipe("R1", *two), litres=Decimal(10))
    factories.put(batch, other, "0.14334", on=DAY + timedelta(days=5))  # as much metal as 150 g of potash alum
    first, second = read.amounts(stays_selectors.detailed().get())
    assert first.left == Decimal(0)
    assert second.left == pytest.approx(Decimal(50), abs=Decimal("0.01"))


def test_what_is_of_another_kind_stands_in_for_nothing(taw: RecipeVersion) -> None:
    lime = factories.material("LIME", on_hand=2, value="4.00", substance="hydrated_lime")
    factories.put(factories.batch("B1", version=taw, litres=LITRES), lime, "1")
    assert (left("ALUMK"), left("SODACRYS")) == (Decimal(1440), Decimal(360))


def test_a_line_that_was_stood_in_for_is_no_need_any_more(taw: RecipeVersion) -> None:
    other = factories.material("ALSUL", on_hand=2, value="4.00", substance="aluminium_sulphate_14")
    factories.put(factories.batch("B1", version=taw, litres=LITRES), other, "0.9021")
    assert Material.objects.get(code="ALUMK").pk not in restock_selectors.needs(DAY)
