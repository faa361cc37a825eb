"""The stocktake sheet from records."""

from inventory import units
from inventory.base import selectors as workshop
from inventory.stocktake import selectors as stocktake
from workshop.documents.records import shared
from workshop.documents.shed.stocktake_sheet import StocktakeItem, StocktakeSheet


def stocktake_sheet(language: str = "") -> StocktakeSheet:
    """What is on the list and where it is kept: materials, then skins and pieces that should be here."""
    return StocktakeSheet(
        workshop=workshop.current().name,
        printed_on=workshop.today(),
        places=tuple((place, tuple(map(_counted, things))) for place, things in stocktake.by_place()),
        words=shared.words(language),
    )


def _counted(thing: stocktake.Thing) -> StocktakeItem:
    return StocktakeItem(thing.code, thing.what, units.label(thing.unit) if thing.unit else "")
