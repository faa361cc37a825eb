"""The page of the shopping list: what to order from whom, with the way to the order, the paper, the file and the message."""

from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from inventory.base import selectors as workshop
from inventory.foresight.shopping import selectors as shopping, words
from inventory.foresight.shopping.selectors import Basket
from inventory.web.lists import allowed
from inventory.web.trail import page


@require_safe
def to_order(request: HttpRequest) -> HttpResponse:
    found = shopping.shopping_list(workshop.today())
    currency = workshop.current().currency
    return page(
        request,
        "inventory/foresight/shopping/list.html",
        "Shopping list",
        ("shelf",),
        baskets=[_shown(basket, found.on, currency) for basket in found.baskets],
        aside=found.aside,
        next=words.told(found.next, currency) if found.next else None,
        may=allowed(request),
    )


def _shown(basket: Basket, on: Any, currency: str) -> dict[str, Any]:
    return {
        "name": basket.name,
        "supplier": basket.supplier,
        "sums": basket.sums,
        "by_said": words.by(basket, on),
        "late": basket.sums.by <= on,
        "sums_said": words.sums(basket, currency),
        "free_said": words.free(basket, currency),
        "now": [words.told(row, currency) for row in basket.now],
        "soon": [words.told(row, currency) for row in basket.soon],
        "message": words.message(basket, workshop.current().name),
        "order": _order(basket),
    }


def _order(basket: Basket) -> str:
    """What a new order opens with, as the part of an address after its question mark."""
    asked: list[tuple[str, object]] = [("supplier", basket.supplier.name)] if basket.supplier else []
    for row in basket.now:
        asked.append(("material", row.line.code))
        asked.append(("packs", row.buy.lot.packs or ""))
    return urlencode(asked)
