"""Rows of customers, jobs and fairs, of the terms, and of what issued papers and receipts say."""

from __future__ import annotations

from collections.abc import Iterator

from costing.models import Customer, Fair, Job, Payment, Sale, Series
from costing.sell.sales.terms import selectors as papers
from workshop.exchange import cells
from workshop.exchange.save_masters import Cells, by


def terms() -> Iterator[Cells]:
    """An empty prefix is written too: a series without one is not the usual one."""
    row = papers.terms()
    values = {
        "tax_number": row.tax_number,
        "business_number": row.business_number,
        "law": row.law,
        "short_limit": cells.coins(row.short_limit),
        "prices_with_tax": cells.yes_no(row.prices_with_tax),
        "untaxed_words": row.untaxed_words,
        "payment_days": str(row.payment_days),
        "payment_words": row.payment_words,
        "deposit_percent": cells.number(row.deposit_percent),
        "storage_free_days": str(row.storage_free_days),
        "storage_per_day": cells.coins(row.storage_per_day),
        "turnover_limit": cells.coins(row.turnover_limit),
        "rolling": cells.yes_no(row.rolling),
    }
    yield from ({"key": key, "value": value} for key, value in values.items() if value)
    for series in by(Series.objects.all(), "kind"):
        yield {"key": f"{series.kind}_prefix", "value": series.prefix}
        yield {"key": f"{series.kind}_digits", "value": str(series.digits)}


def customers() -> Iterator[Cells]:
    for row in by(Customer.objects.all(), "name"):
        yield {
            "name": row.name,
            "postal_address": row.postal_address,
            "electronic_address": row.electronic_address,
            "tax_number": row.tax_number,
            "note": row.note,
        }


def jobs() -> Iterator[Cells]:
    for row in by(Job.objects.select_related("customer", "skin"), "taken_on", "number"):
        yield {
            "job": row.number,
            "customer": row.customer.name,
            "skin": row.skin.tag,
            "taken_on": cells.day(row.taken_on),
            "work": row.work,
            "condition": row.condition,
            "price": cells.coins(row.price),
            "deposit": cells.coins(row.deposit),
            "ready_by": cells.day(row.ready_by),
            "ready_on": cells.day(row.ready_on),
            "given_up_on": cells.day(row.given_up_on),
            "given_up_why": row.given_up_why,
            "given_back": cells.yes_no(row.given_back) if row.given_up_on else "",
            "note": row.note,
        }


def fairs() -> Iterator[Cells]:
    for row in by(Fair.objects.select_related("place").prefetch_related("pieces__article"), "on", "name"):
        pieces = sorted(row.pieces.all(), key=lambda piece: piece.pk)
        yield {
            "name": row.name,
            "date": cells.day(row.on),
            "place": row.place.name if row.place else "",
            "stall_minutes": cells.number(row.stall_minutes),
            "pieces": " ".join(piece.article.number for piece in pieces),
            "closed_on": cells.day(row.closed_on),
            "back": " ".join(piece.article.number for piece in pieces if piece.back),
            "note": row.note,
        }


def issued() -> Iterator[Cells]:
    """A credit note says what the sale says that it credits."""
    for row in Sale.objects.exclude(kind=Sale.Kind.CREDIT).order_by("pk"):
        yield {
            "sale": row.number,
            **_parties(row),
            "taxed": cells.yes_no(row.taxed),
            "prices_with_tax": cells.yes_no(row.prices_with_tax),
            "due_on": cells.day(row.due_on),
        }


def receipts() -> Iterator[Cells]:
    """Whom each receipt for money names, and what was agreed when a deposit was paid."""
    for row in Payment.objects.order_by("sequence"):
        yield {"receipt": row.number, **_parties(row), "work": row.work, "agreed": cells.coins(row.agreed)}


def _parties(row: Sale | Payment) -> Cells:
    return {
        **{f"seller_{part}": words for part, words in row.seller.items()},
        **{f"buyer_{part}": words for part, words in row.buyer.items()},
    }
