"""Postings and the rows that say what they were for: none without the other, and both of one day."""

from collections.abc import Iterator

from django.db.models import F, Q

from inventory.deliveries.models import Delivery
from inventory.ledger.models import Kind, Movement, Posting


def findings() -> Iterator[str]:
    """Every delivery that is gone, in whole or in part, or of another day; nothing when the books are clean."""
    mine = Q(kind=Kind.RECEIPT, reverses__isnull=True)
    for posting in Posting.objects.filter(mine, delivery__isnull=True).order_by("pk"):
        yield f"Posting {posting.pk} of {posting.on} brought a delivery, and the delivery is gone."
    lines = Movement.objects.filter(posting__in=Posting.objects.filter(mine, delivery__isnull=False))
    for row in lines.filter(delivery_line__isnull=True).select_related("material", "posting__delivery").order_by("pk"):
        yield f"Delivery {row.posting.delivery} brought {row.material.code}, and that line of it is gone."
    for delivery in Delivery.objects.exclude(on=F("posting__on")).select_related("posting").order_by("pk"):
        yield f"Delivery {delivery} is of {delivery.on}; what it brought is posted on {delivery.posting.on}."
