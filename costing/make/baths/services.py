"""What every service checks of a bath before it writes its litres."""

from decimal import Decimal

from costing.make.baths import selectors as baths
from costing.make.recipes.models import RecipeVersion
from inventory import units
from inventory.base import checks
from inventory.models import Place


def millilitres(litres: Decimal) -> Decimal:
    return units.to_base(checks.positive(litres, "The litres of bath", field="litres"), "L", "mL")


def refuse_misfit(version: RecipeVersion, litres: Decimal | None, place: Place | None, skins: int) -> None:
    """A bath must fit its tub with the room its froth needs; a tub that nobody measured is taken on trust."""
    if litres is not None and (refusal := baths.misfit(version, litres, place, skins=skins)):
        raise refusal
