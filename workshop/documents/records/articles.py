"""Labels of an article from its records: what a buyer reads of it, and what it costs."""

from typing import Any

from costing.models import Batch
from costing.sell.pricing import selectors as pricing
from inventory import money
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article
from inventory.templatetags.figures import area as area_text
from workshop.documents.labels.care import CareLabel
from workshop.documents.labels.price_ticket import PriceTicket


def care_label(number: str) -> CareLabel:
    """What is on the care label, the care card and the hang tag."""
    row = article(number)
    return CareLabel(
        article=row.number,
        batch=", ".join(batch.number for batch in batches(row)),
        finished=row.finished_on,
        use=row.use,
        textile=row.textile,
        fur_origin=row.fur_origin,
        origin=", ".join(dict.fromkeys(part.skin.origin for part in row.parts.all() if part.skin.origin)),
        **_described(row),
    )


def price_ticket(number: str) -> PriceTicket:
    row = article(number)
    if row.customers:
        raise Refused(f"{row.number} is a customer's own skin and not for sale; it has no price ticket.")
    if row.list_price is None:
        raise Refused(f"{row.number} has no list price yet. Set it on the article's page, then print the ticket.")
    currency = workshop.current().currency
    return PriceTicket(
        article=row.number,
        price_text=money.show(row.list_price, currency),
        currency=money.sign(currency),
        on_top=pricing.footing().on_top,
        **_described(row),
    )


def article(number: str) -> Article:
    found = Article.objects.prefetch_related("parts__skin__supplier").filter(number__iexact=number).first()
    if found is None:
        raise Refused(f"There is no article {number}. Finish the skin first, or check the number.", field="article")
    return found


def batches(row: Article) -> list[Batch]:
    """The batches that its skins went through, the first one first."""
    skins = [part.skin_id for part in row.parts.all()]
    return list(Batch.objects.filter(stays__skin__in=skins).order_by("start", "pk").distinct())


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
