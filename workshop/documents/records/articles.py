"""Labels of an article from its records: what a buyer reads of it, and what it costs."""

from collections.abc import Mapping, Sequence
from typing import Any

from costing.models import Batch, BatchSkin
from costing.sell.pricing import selectors as pricing
from inventory import money
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article
from inventory.templatetags.figures import area as area_text
from workshop.documents.labels.care import CareLabel
from workshop.documents.labels.price_ticket import PriceTicket
from workshop.documents.records import shared


def care_labels(numbers: Sequence[str]) -> list[CareLabel]:
    """What is on the care label, the care card and the hang tag of each."""
    rows = articles(numbers)
    through = _through(rows)
    return [
        CareLabel(
            article=row.number,
            batch=", ".join(batch.number for batch in _of(row, through)),
            finished=row.finished_on,
            use=row.use,
            textile=row.textile,
            fur_origin=row.fur_origin,
            origin=", ".join(dict.fromkeys(part.skin.origin for part in row.parts.all() if part.skin.origin)),
            **_described(row),
        )
        for row in rows
    ]


def care_label(number: str) -> CareLabel:
    return care_labels([number])[0]


def price_tickets(numbers: Sequence[str]) -> list[PriceTicket]:
    rows, on_top = articles(numbers), pricing.footing().on_top
    return [_price_ticket(row, on_top) for row in rows]


def price_ticket(number: str) -> PriceTicket:
    return price_tickets([number])[0]


def _price_ticket(row: Article, on_top: bool) -> PriceTicket:
    if row.customers:
        raise Refused(f"{row.number} is a customer's own skin and not for sale; it has no price ticket.")
    if row.list_price is None:
        raise Refused(f"{row.number} has no list price yet. Set it on the article's page, then print the ticket.")
    currency = workshop.current().currency
    return PriceTicket(
        article=row.number,
        price_text=money.show(row.list_price, currency),
        currency=money.sign(currency),
        on_top=on_top,
        **_described(row),
    )


def articles(numbers: Sequence[str]) -> list[Article]:
    rows = Article.objects.prefetch_related("parts__skin__supplier")
    return shared.called(rows, "number", numbers, "There is no article {}. Finish the skin first, or check the number.")


def article(number: str) -> Article:
    return articles([number])[0]


def batches(row: Article) -> list[Batch]:
    """The batches that its skins went through, the first one first."""
    return _of(row, _through([row]))


def _through(rows: Sequence[Article]) -> dict[int, list[Batch]]:
    """By the id of a skin: the batches that it went through."""
    skins = {part.skin_id for row in rows for part in row.parts.all()}
    through: dict[int, list[Batch]] = {}
    for stay in BatchSkin.objects.filter(skin__in=skins).select_related("batch"):
        through.setdefault(stay.skin_id, []).append(stay.batch)
    return through


def _of(row: Article, through: Mapping[int, list[Batch]]) -> list[Batch]:
    found = {batch.pk: batch for part in row.parts.all() for batch in through.get(part.skin_id, [])}
    return sorted(found.values(), key=lambda batch: (batch.start, batch.pk))


def _described(row: Article) -> dict[str, Any]:
    """Its name and what it is, and who made it: a label without an address would be none."""
    maker = workshop.current()
    if not (maker.postal_address and maker.electronic_address):
        raise Refused(
            "A label needs the maker's name, postal and electronic address. Enter them in Setup, workshop, then print again."
        )
    return {
        "method": row.method,
        "kind": row.kind,
        "title": row.title,
        "hair": row.hair,
        "species": tuple(dict.fromkeys(part.skin.species for part in row.parts.all())),
        "area_text": area_text(row.area) if row.area else "",
        "brand": maker.name or maker.maker,
        "maker": maker.maker if maker.name else "",
        "postal": maker.postal_address,
        "electronic": maker.electronic_address,
    }
