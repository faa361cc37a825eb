"""Books that were kept in grams, whatever the maker weighed in, are counted in the maker's own system without a cent moving."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from fractions import Fraction
from importlib import import_module

import pytest
from django.apps import apps

from costing.make.recipes import services as recipes
from costing.models import RecipeLine
from inventory import units
from inventory.base.models import CostFlow, Workshop
from inventory.deliveries import services as deliveries
from inventory.ledger import services as ledger
from inventory.ledger.audit import selectors as audit
from inventory.ledger.months import services as months
from inventory.materials import services as materials
from inventory.models import DeliveryLine, Kind, Lot, Material, Movement
from inventory.units import half_up
from tests import factories as make

pytestmark = pytest.mark.django_db
D = Decimal
moved_inventory = import_module("inventory.migrations.0016_own_bases")
moved_costing = import_module("costing.migrations.0016_own_bases")


def in_metric(material: Material) -> None:
    """The books of a material as they were kept before: every quantity in thousandths of a gram, millilitre or millimetre."""
    old = units.metric_of(material.base)

    def back(amount: Decimal) -> Decimal:
        return half_up(Fraction(amount) * units.ratio(material.base, old), 3)

    balance, left = D(0), {}
    for movement in Movement.objects.filter(material=material).order_by("pk"):
        drawn = D(0)
        for draw in movement.draws.order_by("pk"):
            draw.quantity = back(draw.quantity)
            if left[draw.lot_id] + draw.quantity < D("0.02"):
                draw.quantity = -left[draw.lot_id]  # the lot is empty: the rest goes
            drawn += draw.quantity
            left[draw.lot_id] += draw.quantity
            draw.save()
        movement.quantity = drawn or back(movement.quantity)
        if not drawn:
            left[movement.lot.pk] = movement.quantity
        balance += movement.quantity
        movement.quantity_left = balance
        movement.save()
    for pk, quantity in left.items():
        Lot.objects.filter(pk=pk).update(quantity=quantity)
    for line in DeliveryLine.objects.filter(movement__material=material):
        line.pack_quantity = back(line.pack_quantity)
        line.save()
    for asked in RecipeLine.objects.filter(material=material).exclude(basis="percent_of_weight"):
        asked.amount = back(asked.amount)
        asked.save()
    pack = material.pack_quantity
    Material.objects.filter(pk=material.pk).update(
        base=old, on_hand=balance, pack_quantity=None if pack is None else back(pack)
    )
    months.rebuild()


def books() -> list[Material]:
    """Salt in pounds that empties, is bought again and reversed; oil in gallons; lace in feet; alum in kilograms beside them."""
    day = make.days_from(make.DAY)
    salt = make.material("SALT", "lb", on_hand=10, value="9.05", pack_quantity=D(10))
    make.take(salt, 1, on=day(1))
    make.take(salt, "8.999", on=day(2))
    make.take(salt, "0.001", on=day(3))
    make.delivery(make.line(salt, 3, 10, "4.35"), carriage="1.10", on=day(4))
    for at in range(5, 25):
        make.take(salt, 1, on=day(at))
    taken = ledger.issue(
        kind=Kind.USE, on=day(25), draws=[ledger.Draw(salt, materials.to_base(salt, D(500), "g"), "500 g")]
    )
    make.receive(salt, "20.5", 7, on=day(26))
    make.take(salt, 15, on=day(27))
    ledger.reverse(posting=taken, on=day(27), reason="another sack")
    ledger.count(on=day(28), material=salt, counted=materials.to_base(salt, D("15.25"), "lb"), typed="15.25 lb")
    oil = make.material("OIL", "us_gallon", on_hand=5, value=90)
    for at in range(1, 9):
        make.take(oil, "0.333", on=day(at))
    lace = make.material("LACE", "foot", on_hand=100, value=30)
    make.take(lace, "33.25", on=day(2))
    make.take(lace, "66.75", on=day(3))
    alum = make.material("ALUM", "kg", on_hand="2.5", value=12)
    make.take(alum, "0.333", on=day(2))
    make.recipe(
        "R1",
        recipes.Line(salt, D("0.5"), "lb", "per_us_gallon"),
        recipes.Line(salt, D(80), "g", "per_litre"),
        recipes.Line(salt, D(50), "%", "percent_of_weight"),
    )
    return [salt, oil, lace, alum]


@pytest.fixture(params=[CostFlow.AVERAGE, CostFlow.FIFO])
def _flow(request: pytest.FixtureRequest) -> Iterator[None]:
    Workshop.objects.update_or_create(pk=1, defaults={"cost_flow": request.param})
    return


def state() -> list[tuple[object, ...]]:
    rows = Movement.objects.order_by("pk").values_list(
        "material__code", "material__base", "quantity", "value", "quantity_left", "value_left", "typed"
    )
    lots = Lot.objects.order_by("pk").values_list("material__code", "quantity", "value")
    asked = RecipeLine.objects.order_by("pk").values_list("amount", "typed")
    packs = DeliveryLine.objects.order_by("pk").values_list("pack_quantity", "packs")
    return [
        *rows,
        *lots,
        *asked,
        *packs,
        *Material.objects.order_by("pk").values_list("code", "on_hand", "pack_quantity"),
    ]


@pytest.mark.thorough(but=1)
@pytest.mark.usefixtures("_flow")
def test_books_kept_in_grams_are_counted_in_ounces_as_if_they_had_always_been() -> None:
    for material in books():
        material.refresh_from_db()
    assert list(audit.findings()) == []
    known = state()
    for material in Material.objects.all():
        in_metric(material)
    assert state() != known
    assert not [said for said in audit.findings() if "SALT" in said and "average" not in said]
    moved_inventory.recount(apps, None)
    moved_costing.recount(apps, None)
    months.rebuild()  # as the later step does for a database on its way
    assert state() == known
    assert list(audit.findings()) == []


def test_what_would_not_hold_together_in_ounces_stays_in_grams() -> None:
    """A hundredth of a gram is less than a thousandth of an ounce: nothing is lost, and the shelf is spoken of in kilograms."""
    dye = make.material("DYE", "kg", on_hand=1, value=30)
    ledger.issue(kind=Kind.USE, on=make.DAY + timedelta(days=1), draws=[ledger.Draw(dye, D("0.01"), "0.01 g")])
    Material.objects.filter(pk=dye.pk).update(unit="lb")
    moved_inventory.recount(apps, None)
    dye.refresh_from_db()
    assert (dye.unit, dye.base, dye.on_hand) == ("kg", "g", D("999.990"))
    assert list(audit.findings()) == []


def test_a_value_reckoned_in_grams_stands_where_ounces_would_round_it_the_other_way() -> None:
    """A pound of ten worth 9.05 is 0.905: half a cent, and in thousandths of a gram a little less."""
    salt = make.material("SALT", "lb", on_hand=10, value="9.05")
    make.take(salt, 1, on=make.DAY + timedelta(days=1))
    Movement.objects.filter(quantity__lt=0).update(value=D("-0.90"), value_left=D("8.15"))
    Material.objects.update(value=D("8.15"))
    months.rebuild()
    assert list(audit.findings()) == []
    Movement.objects.filter(quantity__lt=0).update(value=D("-0.89"), value_left=D("8.16"))
    Material.objects.update(value=D("8.16"))
    assert any("by the average" in said for said in audit.findings())


def test_deliveries_in_pounds_are_exact() -> None:
    salt = make.material("SALT", "lb")
    deliveries.record(supplier=make.supplier(), on=make.DAY, lines=[make.line(salt, 3, 10)], ref="A1")
    salt.refresh_from_db()
    assert (salt.base, salt.on_hand) == ("oz", D(480))
    assert DeliveryLine.objects.get().pack_quantity == 160
