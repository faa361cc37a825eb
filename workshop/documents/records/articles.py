"""Papers of an article from its records: care label and price ticket."""

from costing.models import Batch
from costing.sell.pricing import selectors as pricing
from inventory import money
from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.models import Article
from inventory.templatetags.figures import area as area_text
from workshop.documents.labels.care_card import CareLabel
from workshop.documents.labels.price_ticket import PriceTicket


def care_label(number: str) -> CareLabel:
    article = _article(number)
    return CareLabel(
        method=article.method,
        article=article.number,
        kind=article.kind,
        species=_species(article),
        area_text=area_text(article.area) if article.area else "",
        batch=_batches(article),
        **_maker(),
    )


def price_ticket(number: str) -> PriceTicket:
    article = _article(number)
    if article.customers:
        raise Refused(f"{article.number} is a customer's own skin and not for sale; it has no price ticket.")
    if article.list_price is None:
        raise Refused(f"{article.number} has no list price yet. Set it on the article's page, then print the ticket.")
    currency = workshop.current().currency
    return PriceTicket(
        article=article.number,
        kind=article.kind,
        species=_species(article),
        method_label=article.get_method_display(),
        area_text=area_text(article.area) if article.area else "",
        price_text=money.show(article.list_price, currency),
        currency=money.sign(currency),
        on_top=pricing.footing().on_top,
        **_maker(),
    )


def _article(number: str) -> Article:
    found = Article.objects.prefetch_related("parts__skin").filter(number__iexact=number).first()
    if found is None:
        raise Refused(f"There is no article {number}. Finish the skin first, or check the number.", field="article")
    return found


def _species(article: Article) -> str:
    return ", ".join(dict.fromkeys(part.skin.species for part in article.parts.all()))


def _batches(article: Article) -> str:
    skins = [part.skin_id for part in article.parts.all()]
    return ", ".join(
        Batch.objects.filter(stays__skin__in=skins).order_by("start").values_list("number", flat=True).distinct()
    )


def _maker() -> dict[str, str]:
    """Name and addresses that a label must carry; without them it would be no label."""
    row = workshop.current()
    if not (row.postal_address and row.electronic_address):
        raise Refused(
            "A label needs the maker's name, postal and electronic address. Enter them in Setup, workshop, then print again."
        )
    return {
        "maker": ", ".join(filter(None, (row.name, row.maker))),
        "postal": row.postal_address,
        "electronic": row.electronic_address,
    }
