"""The bath a batch is in: which day it was made on, what went in, what was only cured with or added later."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from costing.make.batches.issues import selectors as fillings, services as batches
from costing.make.batches.stays import services as stays_services
from costing.make.recipes.services import Line, Step
from costing.models import Batch, Use
from inventory.models import Material
from tests import factories as make
from tests.factories import days_from

pytestmark = pytest.mark.django_db
D = Decimal
START = date(2025, 1, 11)
day = days_from(START)


def shelf(*codes: str, **substances: str) -> dict[str, Material]:
    return {
        code: make.material(code, on_hand=50, value=50, on=START, substance=substances.get(code, "")) for code in codes
    }


@pytest.fixture
def jars(db: None) -> dict[str, Material]:
    return shelf(
        *("ALUM", "SALT", "SODA", "BICARB", "SULPHATE"),
        ALUM="potash_alum",
        SALT="salt",
        SODA="washing_soda_crystals",
        BICARB="baking_soda",
        SULPHATE="aluminium_sulphate_14",
    )


@pytest.fixture
def batch(jars: dict[str, Material]) -> Batch:
    version = make.recipe(
        "R1",
        Line(jars["ALUM"], D(80), "g", "per_litre", how="bath"),
        Line(jars["SALT"], D(40), "g", "per_litre", how="bath"),
        Line(jars["SODA"], D(20), "g", "per_litre", how="bath, slowly"),
        Line(jars["BICARB"], D(150), "g", "per_bath", how="neutralise", day=11),
    )
    make.skin("H01", date_in=START)
    return make.batch("B1", version=version, start=START, litres=D(18), tags=["H01"])


def put(batch: Batch, jars: dict[str, Material], nth: int, **kilograms: str) -> Use:
    amounts = [batches.Amount(jars[code], D(amount), "kg") for code, amount in kilograms.items()]
    return batches.issue(batch=batch, on=day(nth), amounts=amounts)


def told(batch: Batch) -> tuple[Any, ...]:
    found = fillings.last(batch)
    assert found
    return (found.made_on - START).days, [(each.material.code, f"{each.quantity:f}") for each in found.contents]


MIXED = {"ALUM": "1.44", "SALT": "0.72", "SODA": "0.36"}


def test_curing_with_salt_is_no_bath(batch: Batch, jars: dict[str, Material]) -> None:
    put(batch, jars, 0, SALT="6")
    assert fillings.last(batch) is None


def test_the_bath_is_made_on_the_day_its_materials_met_and_the_curing_salt_is_not_in_it(
    batch: Batch, jars: dict[str, Material]
) -> None:
    put(batch, jars, 0, SALT="6")
    put(batch, jars, 9, **MIXED)
    put(batch, jars, 20, BICARB="0.15")
    assert told(batch) == (9, [("ALUM", "1440.000"), ("SALT", "720.000"), ("SODA", "360.000")])


def test_contents_stand_in_the_order_of_the_recipe_however_they_were_entered(
    batch: Batch, jars: dict[str, Material]
) -> None:
    put(batch, jars, 9, SODA="0.36")
    put(batch, jars, 9, SALT="0.72")
    put(batch, jars, 9, ALUM="1.44")
    assert [code for code, _ in told(batch)[1]] == ["ALUM", "SALT", "SODA"]


def test_what_is_added_later_of_the_same_tops_the_bath_up(batch: Batch, jars: dict[str, Material]) -> None:
    put(batch, jars, 9, **MIXED)
    put(batch, jars, 12, ALUM="0.36")
    assert told(batch)[1][0] == ("ALUM", "1800.000")


def test_another_alum_stands_for_the_recipes_own(batch: Batch, jars: dict[str, Material]) -> None:
    put(batch, jars, 9, SULPHATE="0.9", SALT="0.72")
    assert told(batch) == (9, [("SALT", "720.000"), ("SULPHATE", "900.000")])


def test_what_was_taken_back_is_not_in_the_bath(batch: Batch, jars: dict[str, Material]) -> None:
    wrong = put(batch, jars, 8, **MIXED)
    batches.reverse(use=wrong, reason="the tub leaked")
    assert fillings.last(batch) is None
    put(batch, jars, 9, **MIXED)
    assert told(batch)[0] == 9


def test_of_two_baths_the_label_is_of_the_one_made_last(jars: dict[str, Material]) -> None:
    version = make.recipe(
        "R2",
        Line(jars["SALT"], D(60), "g", "per_litre", "Pickle"),
        Line(jars["BICARB"], D(5), "g", "per_litre", "Rinse"),
        Line(jars["ALUM"], D(80), "g", "per_litre", "Taw"),
        Line(jars["SALT"], D(40), "g", "per_litre", "Taw"),
        steps=[Step("Pickle", lasts_days=4, uses="tub"), Step("Rinse"), Step("Taw", wait_days=2, uses="tub")],
    )
    batch = make.batch("B2", version=version, start=START, litres=D(10), planned_skins=1)
    make.skin("H02", date_in=START)
    stays_services.join(batch=batch, tags=["H02"], on=START)
    put(batch, jars, 0, SALT="0.6")
    assert told(batch) == (0, [("SALT", "600.000")])
    put(batch, jars, 4, BICARB="0.05")
    assert told(batch) == (4, [("BICARB", "50.000")])
    put(batch, jars, 6, ALUM="0.8", SALT="0.4")
    assert told(batch) == (6, [("ALUM", "800.000"), ("SALT", "400.000")])


def test_gloves_and_other_pieces_are_in_no_bath(batch: Batch, jars: dict[str, Material]) -> None:
    gloves = make.material("GLOVE", "piece", on_hand=50, value=5, on=START)
    put(batch, jars, 9, **MIXED)
    make.put(batch, gloves, 12, day(9))
    assert "GLOVE" not in [code for code, _ in told(batch)[1]]


def test_a_recipe_without_a_line_by_the_litre_makes_no_bath(jars: dict[str, Material]) -> None:
    version = make.recipe("R3", Line(jars["ALUM"], D(300), "g", "per_skin", how="paste"))
    batch = make.batch("B3", version=version, start=START, planned_skins=1)
    assert not fillings.has_bath(batch)
    assert fillings.last(batch) is None


def test_a_recipe_with_one_makes_one(batch: Batch) -> None:
    assert fillings.has_bath(batch)
