"""A recipe beside a shelf in pounds and ounces: asked for in any measure, and taken in thousandths of an ounce."""

from __future__ import annotations

from decimal import Decimal

import pytest

from costing.make.additions import selectors as additions
from costing.make.batches.issues import services as issues
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.stays import selectors as stays
from costing.make.baths import selectors as baths
from costing.make.recipes import services as recipes
from costing.models import Batch
from inventory import units
from inventory.base import measures
from inventory.base.accounting import services as workshop
from inventory.errors import ShortStock
from inventory.models import Material
from tests import factories

pytestmark = pytest.mark.django_db
D = Decimal


def amounts(batch: Batch) -> dict[str, requirements.Amount]:
    return {each.material.code: each for each in requirements.amounts(stays.detailed().get(pk=batch.pk))}


@pytest.fixture
def shelf() -> dict[str, Material]:
    made = [
        factories.material("SALT", "lb", on_hand=20, value=10, substance="salt"),
        factories.material("ALUM", "lb", on_hand=10, value=40, substance="potash_alum"),
        factories.material("ALKG", "kg", on_hand=10, value=40, substance="potash_alum"),
        factories.material("OIL", "us_gallon", on_hand=1, value=30),
        factories.material("SODA", "oz", on_hand=80, value=8, substance="soda_ash", density_g_per_ml=D("1.1")),
    ]
    return {each.code: each for each in made}


@pytest.fixture
def batch(shelf: dict[str, Material]) -> Batch:
    version = factories.recipe(
        "R1",
        recipes.Line(shelf["SALT"], D(1), "lb", "per_us_gallon"),
        recipes.Line(shelf["ALUM"], D(80), "g", "per_litre"),
        recipes.Line(shelf["OIL"], D("0.5"), "us_fluid_ounce", "per_skin"),
        recipes.Line(shelf["SODA"], D(2), "us_tablespoon", "per_us_gallon"),
    )
    gallons = units.to_base(D(5), "us_gallon", "mL") / 1000
    return factories.batch("B1", version=version, litres=gallons, planned_skins=3)


def test_what_a_recipe_asks_for_is_counted_in_ounces(batch: Batch) -> None:
    found = amounts(batch)
    assert found["SALT"].planned == 80, "five pounds"
    assert found["ALUM"].planned == D("53.411"), "1514.165 g"
    assert found["OIL"].planned == D("1.5")
    assert found["SODA"].planned == D("5.735"), "five fluid ounces at 1.1 g/mL, as a gallon's share was weighed"
    told = {row.amount.material.code: row.planned for row in additions.rows(batch, found.values())}
    assert told["SALT"] == "5 lb"
    assert told["ALUM"] == "1\u202f514.2 g"
    assert told["OIL"] == "1.5 US fl oz"


def test_five_pounds_put_in_are_five_pounds_of_the_recipe(batch: Batch, shelf: dict[str, Material]) -> None:
    issues.issue(batch=batch, on=factories.DAY, amounts=[issues.Amount(shelf["SALT"], D(5), "lb")])
    found = amounts(batch)["SALT"]
    assert (found.used, found.left, found.material.on_hand) == (80, 0, 240)
    assert units.show(found.material.on_hand, "lb") == "15 lb"


def test_a_bath_of_gallons_is_reckoned_by_its_grams(batch: Batch, shelf: dict[str, Material]) -> None:
    litres = units.to_base(D(5), "us_gallon", "mL") / 1000
    found = baths.bath(batch.version, litres, skins=3)
    by_code = {line.material.code: line for line in found.lines}
    assert by_code["ALUM"].grams == D("1514.176"), "53.411 oz"
    assert by_code["SALT"].weight == "5 lb"
    assert (
        found.facts.aluminium_mol == baths.bath(batch.version, litres, skins=3, use=[shelf["ALKG"]]).facts.aluminium_mol
    )


def test_alum_by_the_kilogram_stands_in_for_alum_by_the_pound(batch: Batch, shelf: dict[str, Material]) -> None:
    planned = amounts(batch)["ALUM"]
    instead = units.to_base(planned.planned or D(0), "oz", "g")
    issues.issue(
        batch=batch, on=factories.DAY, amounts=[issues.Amount(shelf["ALKG"], instead, "g", None, planned.line)]
    )
    found = amounts(batch)["ALUM"]
    assert (found.left, found.instead) == (0, ("Material ALKG",))


def test_a_percent_of_the_weight_of_skins_is_taken_in_ounces(shelf: dict[str, Material]) -> None:
    version = factories.recipe("R2", recipes.Line(shelf["SALT"], D(50), "%", "percent_of_weight"))
    nine = units.to_base(D(9), "lb", "g")
    batch = factories.batch("B2", version=version, tags=[factories.skin("H01", green_weight=nine).tag])
    assert amounts(batch)["SALT"].planned == 72, "four and a half pounds for nine"


def test_what_the_shelf_lacks_is_said_in_pounds(batch: Batch, shelf: dict[str, Material]) -> None:
    with pytest.raises(ShortStock, match=r"25 lb of Material SALT wanted, 20 lb on the shelf"):
        issues.issue(batch=batch, on=factories.DAY, amounts=[issues.Amount(shelf["SALT"], D(25), "lb")])


def test_five_pounds_make_ten_gallons_at_half_a_pound() -> None:
    """Ten US gallons are 37.85 L: cut to tenths of a litre first, they would be 9.9."""
    alum = factories.material("ALUMK", "lb", on_hand=5, value=20)
    version = factories.recipe("R5", recipes.Line(alum, D("0.5"), "lb", "per_us_gallon"))
    workshop.set_up(bath_unit="us_gallon")
    allows = requirements.shelf_allows(version, version.lines.all())
    assert allows is not None
    assert allows.words() == "10.0 US gal"


def test_the_strength_of_a_bath_is_told_in_the_workshops_own_measure(batch: Batch) -> None:
    litres = units.to_base(D(5), "us_gallon", "mL") / 1000
    assert measures.strength(D(80), "oz", litres) == "119.83 g/L"
    workshop.set_up(bath_unit="us_gallon")
    assert measures.strength(D(80), "oz", litres) == "16 oz/US gal"
    assert measures.strength(units.to_base(D(5), "lb", "g"), "g", litres) == "16 oz/US gal"


def test_what_a_scale_cannot_tell_is_neither_asked_for_nor_missed() -> None:
    """3.22587 kg is asked for as 3225.9 g; nothing of it is then left to put in."""
    salt = factories.material("SALT", on_hand=10, value=5)
    version = factories.recipe("R3", recipes.Line(salt, D("151.2"), "g", "per_litre"))
    batch = factories.batch("B3", version=version, litres=D("21.335"))
    asked = amounts(batch)["SALT"]
    assert asked.planned == D("3225.852")
    quantity, unit = additions.own_measure(asked.line, asked.planned)
    assert (quantity, unit) == (D("3225.9"), "g")
    for put in (quantity, D("3225.8")):
        use = issues.issue(batch=batch, on=factories.DAY, amounts=[issues.Amount(salt, put, unit)])
        assert amounts(batch)["SALT"].left == 0
        issues.reverse(use=use, reason="again", on=factories.DAY)
