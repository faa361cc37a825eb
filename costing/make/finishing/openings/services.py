"""Finished pieces that were there when the books began, with what they had cost in money and in own hours."""

from datetime import date
from decimal import Decimal

from costing.make.finishing import services as finishing
from inventory.articles.services import Piece
from inventory.base.services import service
from inventory.models import Article
from inventory.money import ZERO
from inventory.permits import Act, Person
from inventory.skins import services as skins


@service(Act.PRICES, makes=Article)
def take_over(
    *,
    piece: Piece,
    on: date,
    species: str,
    cost: Decimal,
    minutes: Decimal = ZERO,
    by: Person = None,
    request_key: str | None = None,
) -> Article:
    """A piece as it stood on `on`: `cost` is all money in it, `minutes` the maker's own work. Neither is of the year it begins in.

    It stands on a skin of the piece's own number, so that every page finds its origin, and counts as opening stock.
    """
    details = skins.Details(species=species, date_in=on, price=cost, opening=True, minutes_before=minutes)
    skin = skins.take_in(tag=piece.number, details=details, by=by)
    (article,) = finishing.finish(on=on, tags=[skin.tag], pieces=[piece], by=by)
    return article
