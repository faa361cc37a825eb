"""Rates: what an hour, an overhead hour and a lacing cost from now on. Finished articles keep the rates of their day."""

from __future__ import annotations

from decimal import Decimal

from django.db import transaction

from costing.models import Rates
from costing.selectors import rates as read
from inventory.errors import Refused
from inventory.services import checks
from inventory.services.materials import coins
from inventory.services.permits import Act, Person, require

MONEY = {
    "wage_per_hour": "The wage",
    "overhead_per_hour": "The overhead",
    "frame_wear": "The frame wear",
    "price_step": "The price step",
}


@transaction.atomic
def set_rates(*, by: Person = None, vat_percent: Decimal | None = None, **amounts: Decimal) -> Rates:
    """Change what is given: wage_per_hour, overhead_per_hour, frame_wear, price_step (money), vat_percent."""
    require(by, Act.SETUP)
    row = read.current()
    for name, value in amounts.items():
        setattr(row, name, coins(value, MONEY[name], field=name))
    if vat_percent is not None:
        checks.held(checks.not_negative(vat_percent, "The tax rate", field="vat_percent"), field="vat_percent")
        if vat_percent > 100:
            raise Refused(f"A tax rate of {vat_percent} % is not believable.", field="vat_percent")
        row.vat_percent = vat_percent
    row.save()
    return row
