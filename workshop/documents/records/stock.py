"""The stocktake sheet from records."""

from inventory import units
from inventory.base import selectors as workshop
from inventory.models import Article, Material, Skin
from inventory.stocktake import selectors as stocktake
from workshop.documents.shed.stocktake_sheet import StocktakeItem, StocktakeSheet
from workshop.documents.words import selectors as words_read, species
from workshop.documents.words.rules import Words


def stocktake_sheet(language: str = "") -> StocktakeSheet:
    """What is on the list and where it is kept: materials, then skins and pieces that should be here."""
    words = words_read.of(language)
    return StocktakeSheet(
        workshop=workshop.current().name,
        printed_on=workshop.today(),
        places=tuple(
            (place, tuple(_counted(thing, words) for thing in things)) for place, things in stocktake.by_place()
        ),
        words=words,
    )


def _counted(thing: stocktake.Thing, words: Words) -> StocktakeItem:
    return StocktakeItem(thing.code, _said(thing.row, words), units.label(thing.unit) if thing.unit else "")


def _said(row: Material | Skin | Article, words: Words) -> str:
    if isinstance(row, Material):
        return row.name
    if isinstance(row, Article):
        return words("stocktake.piece_of", kind=row.kind) if row.customers else row.kind
    named = species.trade_name(row.species, words)
    if not row.theirs:
        return words("stocktake.skin", species=named)
    return words("stocktake.skin_of", species=named, customer=row.customer or words("stocktake.unnamed"))
