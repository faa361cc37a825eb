"""Every page, paper, file and mail gives one answer for each material of workshops that were drawn."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from random import Random

import pytest

from costing.make.recipes import services as recipes
from inventory.base.accounting import services as workshop
from inventory.orders import services as orders
from tests import factories as make
from tests.workshop.one_date import one_answer

pytestmark = [pytest.mark.django_db, pytest.mark.slow]
TODAY = date(2025, 6, 30)


@pytest.mark.thorough
@pytest.mark.parametrize("start", [1, 2, 3])
def test_every_material_of_any_workshop_has_one_answer(db: None, start: int) -> None:
    drawn = Random(start)  # noqa: S311 - a workshop like another
    workshop.set_up(name="Any")
    workshop.pin_today(on=TODAY)
    shelf = make.place()
    for at in range(6):
        supplier = make.supplier(f"Supplier {drawn.randint(1, 2)}") if drawn.random() < 0.7 else None
        of = make.material(
            f"M{at}",
            name=f"Stuff {at}",
            pack_quantity=Decimal(drawn.choice([1, 2, 25])),
            lead_days=drawn.choice([0, 3, 9]),
            safety_days=drawn.choice([0, 3]),
            supplier=supplier,
            place=shelf,
            on_hand=20,
            value=drawn.choice([0, 50]),
            on=date(2025, 1, 1),
        )
        for _ in range(drawn.randint(0, 9)):
            make.take(of, drawn.choice(["0.5", "1", "2"]), on=TODAY - timedelta(days=drawn.randint(0, 170)))
        if drawn.random() < 0.4:
            line = orders.Line(of, Decimal(1), Decimal(5), "kg", None)
            orders.place(
                supplier=make.supplier("Supplier 1"),
                on=TODAY - timedelta(days=9),
                due_on=TODAY + timedelta(days=drawn.randint(-5, 9)),
                lines=[line],
            )
        if drawn.random() < 0.5:
            version = make.recipe(f"R{at}", recipes.Line(of, Decimal(drawn.randint(1, 30)), "kg", "per_bath"))
            make.skin(f"H{at}", date_in=date(2025, 1, 2))
            make.batch(f"B{at}", version=version, start=TODAY + timedelta(days=drawn.randint(1, 40)), tags=[f"H{at}"])
    one_answer()
