"""What a sale is made of: items and costs out of the form, and the line that says what a price earns."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from costing.sell.expenses.services import Cost
from costing.sell.pricing import rules as pricing
from costing.sell.pricing import selectors as pricing_read
from costing.sell.pricing.channels.models import Channel
from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.forms import LineForm, taken_of
from costing.sell.sales.offers.selectors import Haggling, Thing
from costing.sell.sales.offers.services import Item
from inventory.web.forms import as_typed

ADD, LOOK = "more", "look"
PRICES = ("asked", "taken", "discount")
KIND_OF = {offers.ARTICLE: "article", offers.JOB: "work", offers.SKIN: "scrap"}


@dataclass
class Offered:
    """A line of the form with the thing it sells and what its price leaves."""

    form: LineForm
    thing: Thing
    haggling: Haggling | None

    @property
    def row(self) -> str:
        return str(self.form.prefix).removeprefix("line-")


def channel_of(value: object) -> pricing.Channel:
    """The channel that a box holds, whatever was typed into it; none where it names none."""
    text = str(value or "")
    row = Channel.objects.filter(pk=text).first() if text.isascii() and text.isdigit() else None
    return pricing_read.plain(row) if row else pricing_read.NO_CHANNEL


def item(line: LineForm) -> Item:
    thing, found = line.about, line.cleaned_data
    return Item(
        KIND_OF[thing.kind],
        found["asked"],
        article=thing.article,
        job=thing.job,
        skin=thing.skin if thing.kind == offers.SKIN else None,
        discount=line.off(),
        tax_percent=found.get("tax_percent"),
        relief=found.get("relief", ""),
    )


def storage(line: LineForm, charge: Decimal) -> Item:
    return Item(
        "other", charge, words=f"Storage of {line.about.name}", tax_percent=line.cleaned_data.get("tax_percent")
    )


def costs(found: dict[str, Any]) -> list[Cost]:
    """The fee as it was typed or as the channel keeps it, and what the post took."""
    spent = []
    if found["keeps"] or found["fee"]:
        spent.append(Cost("fee", found["fee"] or None, withheld=found["withheld"]))
    if found["posted"]:
        spent.append(Cost("postage", found["posted"]))
    return spent


def haggled(line: LineForm, where: pricing.Channel, rate: Any) -> Haggling | None:
    if line.about.piece is None:
        return None
    values = {name: line[name].value() for name in PRICES}
    as_text = {name: "" if value is None else str(value) for name, value in values.items()}
    return offers.haggling(line.about.piece, where, taken_of(as_text), rate)


@require_safe
def earned(request: HttpRequest) -> HttpResponse:
    """The haggling line alone, for a price that is being typed: `?line=0`, with the fields of that line and the channel."""
    place = request.GET.get("line", "0")
    if not (place.isascii() and place.isdigit() and len(place) < 3):
        raise Http404
    prefix = f"line-{place}"
    found = offers.things([request.GET.get(f"{prefix}-thing", "")])
    if not found or found[0].piece is None:
        raise Http404
    values = as_typed(LineForm.base_fields, request.GET, prefix)
    haggling = offers.haggling(found[0].piece, channel_of(request.GET.get("channel")), taken_of(values))
    return render(request, "costing/sell/sales/offers/earned.html", {"haggling": haggling})
