"""One addition put into a batch: taken from the shelf and logged for its line of the recipe."""

from datetime import date, datetime
from decimal import Decimal

from costing.make.batches.issues import services as issues
from costing.make.batches.models import Batch, Use
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.stays import selectors as batches, services as stays
from costing.make.recipes.models import RecipeLine
from inventory import units
from inventory.base.services import service
from inventory.errors import Refused
from inventory.permits import Act, Person


@service(Act.SHED, makes=Use)
def add(
    *,
    batch: Batch,
    line: RecipeLine,
    amount: Decimal,
    unit: str,
    again: bool = False,
    on: date | None = None,
    at: datetime | None = None,
    by: Person = None,
    request_key: str | None = None,
) -> Use:
    """Take an addition from the shelf and log it as put in for its line, on a day or at the moment of a tap.

    What is in already is not added a second time by an old page or another phone: refused, unless it is meant (`again`).
    """
    stays.hold_skins(batch)
    row = batches.detailed().get(pk=batch.pk)
    wanted = next((each for each in requirements.amounts(row) if each.line == line), None)
    if wanted is None:
        raise Refused(f"{batch.number} is made by {batch.version}, which has no such line.", field="line")
    if wanted.used and not again:
        held = units.show(wanted.used, line.material.unit)
        raise Refused(
            f"{held} of {line.material.name} are in {batch.number} already. Tick that more goes in.", field="again"
        )
    asked = issues.Amount(line.material, amount, unit, wanted.left or None, line)
    return issues.issue(batch=batch, on=on, at=at, amounts=[asked], by=by)
