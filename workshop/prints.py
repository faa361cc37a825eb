"""From records to papers: reads what a paper needs, builds its frozen dataclass, hands it to the paper kit.

The kit (reportlab, fonts) is imported where a paper is really made: a page or command that prints nothing must not wait for it.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from costing.models import Batch
from costing.selectors import usage as batch_usage
from inventory import money, units
from inventory.errors import Refused
from inventory.models import Article
from inventory.selectors import usage as usage_selector
from inventory.selectors import workshop
from inventory.templatetags.figures import area as area_text

if TYPE_CHECKING:
    from workshop.papers.care import CareLabel
    from workshop.papers.month import MonthReport
    from workshop.papers.ticket import PriceTicket

PAPERS = ("care", "ticket")


def article_paper(which: str, number: str) -> bytes:
    """The care label or the price ticket of an article, as PDF."""
    if which == "care":
        from workshop.papers import care

        return care.render(care_label(number))
    if which == "ticket":
        from workshop.papers import ticket

        return ticket.render(price_ticket(number))
    raise Refused(f"There is no paper {which!r}; choose one of {', '.join(PAPERS)}.")


def care_label(number: str) -> CareLabel:
    from workshop.papers.care import CareLabel

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
    from workshop.papers.ticket import PriceTicket

    article = _article(number)
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
        **_maker(),
    )


def month_report(month: str) -> MonthReport:
    from workshop.papers.month import BatchUse, MonthLine, MonthReport

    number = usage_selector.month_number(month)
    lines = []
    for flow in usage_selector.flows(number):
        material = flow.material
        quantities = {
            name: units.from_base(getattr(flow, name), material.unit)
            for name in ("opening", "received", "used", "closing")
        }
        lines.append(
            MonthLine(
                code=material.code,
                name=material.name,
                unit=units.label(material.unit),
                other=-units.from_base(flow.other, material.unit),
                opening_value=_coins(flow.opening_value),
                received_value=_coins(flow.received_value),
                used_value=_coins(flow.used_value),
                other_value=-_coins(flow.other_value),
                closing_value=_coins(flow.closing_value),
                **quantities,
            )
        )
    uses = (
        BatchUse(
            use.batch,
            use.material.name,
            units.label(use.material.unit),
            units.from_base(use.quantity, use.material.unit),
            _coins(use.value),
        )
        for use in batch_usage.by_batch(number)
    )
    row = workshop.current()
    return MonthReport(
        title=row.name,
        month=usage_selector.month_text(number),
        currency=row.currency,
        lines=tuple(lines),
        by_batch=tuple(uses),
        written_on=workshop.today(),
    )


def month_pdf(month: str) -> bytes:
    from workshop.papers import month as paper

    return paper.render(month_report(month))


def _coins(value: Decimal) -> Decimal:
    return money.half_up(value, workshop.places())


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
    said = {
        "maker": ", ".join(filter(None, (row.name, row.maker))),
        "postal": row.postal_address,
        "electronic": row.electronic_address,
    }
    if not (row.postal_address and row.electronic_address):
        raise Refused(
            "A label needs the maker's name, postal and electronic address. Enter them in Setup, workshop, then print again."
        )
    return said
