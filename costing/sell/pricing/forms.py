"""The box of a price, which says beside it what the buyer pays and what is kept; and a channel's fee in words."""

from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.urls import reverse

from costing.sell.pricing import rules as pricing, selectors as pricing_read
from inventory import formats
from inventory.templatetags import figures
from inventory.web.fields import MoneyBox

MOST = Decimal(10) ** 9


class TypedPrice(MoneyBox):
    """A price as the maker types it, with its tax or without. Sold through the usual channel where `usual`, else directly;
    `relief` is the buyer's reason to pay no tax, where the buyer is known."""

    def __init__(self, *, usual: bool = True, **options: Any) -> None:
        self.usual, self.relief = usual, ""
        super().__init__(template_name="costing/sell/pricing/typed_price.html", **options)

    def get_bound_field(self, form: forms.BaseForm, field_name: str) -> Any:
        super().get_bound_field(form, field_name)  # puts the currency's sign beside the box
        return _Bound(form, self, field_name)


class _Bound(forms.BoundField):
    field: TypedPrice

    def means(self) -> "Means":
        return means(self.value(), usual=self.field.usual, relief=self.field.relief)

    def address(self) -> str:
        """Where the same is answered for what is being typed."""
        exempt = {"exempt": "1"} if self.field.relief else {}
        asked = {"of": self.html_name, **({"usual": "1"} if self.field.usual else {}), **exempt}
        return f"{reverse('price_meaning')}?{urlencode(asked)}"


class Means:
    """What a page says of a typed price: `footing` and `channel`, and `found`, what it comes to, once it can be read."""

    def __init__(self, price: Decimal | None, channel: pricing.Channel, footing: pricing.Footing) -> None:
        self.channel, self.footing = channel, footing.through(channel)
        self.found = None if price is None else pricing_read.meaning(price, channel, footed=self.footing)

    @property
    def says(self) -> bool:
        """Whether the buyer may pay, or the maker keep, another sum than the one typed."""
        where = self.channel
        return bool(self.footing.percent or where.fee_percent or where.fee_fixed or where.fixed_cost)


def means(value: object, *, usual: bool, relief: str = "") -> Means:
    """Of what stands in a box, whatever was typed."""
    footing = pricing_read.footing()
    channel = pricing_read.channel() if usual else pricing_read.NO_CHANNEL
    return Means(amount_in(value), channel, footing.untaxed() if relief else footing)


def amount_in(value: object) -> Decimal | None:
    """The sum of money in a box; None where it cannot be read as a price."""
    try:
        found = MoneyBox(required=False).to_python(value)
    except forms.ValidationError:
        return None
    return found if found is not None and found.is_finite() and 0 <= found < MOST else None


def fee_words(where: Any) -> str:
    """A channel's fee as a contract says it: "2.6 % + 0.10 €"; empty for none."""
    parts = [f"{formats.plain(where.fee_percent)} %"] if where.fee_percent else []
    return " + ".join([*parts, figures.money(where.fee_fixed)] if where.fee_fixed else parts)
