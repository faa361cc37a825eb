"""Forms of what is offered: things to tick, and a line with the price of each."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms

from costing.sell.jobs.quotes.rules import Storage
from costing.sell.payments.models import Payment
from costing.sell.pricing.channels.models import Channel
from costing.sell.pricing.forms import fee_words
from costing.sell.pricing.rules import Meaning
from costing.sell.sales.exemptions import rules as exemptions
from costing.sell.sales.models import SaleLine
from costing.sell.sales.offers import selectors as offers
from costing.sell.sales.offers.selectors import Haggling, Thing
from costing.sell.sales.offers.services import Item
from costing.sell.sales.terms import selectors as terms_read
from inventory import formats
from inventory.base.checks import coins
from inventory.errors import Refused
from inventory.models import Article
from inventory.money import ZERO
from inventory.templatetags import figures
from inventory.web.fields import Judged, MoneyBox, Suggest, used
from inventory.web.forms import FigureField, NoteField

NOT_YET = ""
KIND_OF = {offers.ARTICLE: "article", offers.JOB: "work", offers.SKIN: "scrap"}
HOW = [(NOT_YET, "Not yet"), *Payment.How.in_money()]
MOST = Decimal(10) ** 9


class ChannelField(forms.ModelChoiceField):  # type: ignore[type-arg]  # takes it in the stubs only
    """The channels with their fees: "Online, fee 6.5 %"."""

    def __init__(self, **options: Any) -> None:
        options = {"label": "Sold through", "required": False, "empty_label": "Direct sale", **options}
        super().__init__(Channel.objects.order_by("-usual", "name"), **options)

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.name}, fee {fee}" if (fee := fee_words(obj)) else str(obj.name)


class UntaxedField(NoteField):
    """Why a line bears no tax: the reason stands on the paper, in the law's words, in words used before, or others. Empty: it
    bears what the others do."""

    def __init__(self, label: str) -> None:
        super().__init__(label, longest=120, widget=Suggest(self.words))

    @staticmethod
    def words() -> list[str]:
        return list(dict.fromkeys([*exemptions.offered(terms_read.terms().law), *used(SaleLine, "relief")()]))


class PriceBox(MoneyBox):
    """A price that can be paid in coins."""

    def clean(self, value: Any) -> Any:
        price = super().clean(value)
        try:
            return price if price is None else coins(price, "The price", field="")
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None


class PickField(Judged, forms.MultipleChoiceField):
    """Things to tick, by their keys."""

    def __init__(self, choices: Sequence[tuple[str, str]] = (), **options: Any) -> None:
        super().__init__(choices=[*choices], required=False, widget=forms.CheckboxSelectMultiple, **options)


def piece_words(row: Article) -> str:
    price = "" if row.list_price is None else f", {figures.money(row.list_price)}"
    at = f", at {row.place}" if row.place else ""
    return f"{row.number} {row.kind}{price}{at}"


class LineForm(forms.Form):
    """One thing with its list price, and either the discount or the sale price. `haggling`: what its price leaves, once read;
    of what carries no cost `sums`, what it comes to."""

    haggling: Haggling | None = None
    sums: Meaning | None = None

    thing = forms.CharField(widget=forms.HiddenInput(attrs={"autocomplete": "off"}), max_length=60)
    asked = PriceBox(label="List price")
    taken = PriceBox(label="Sale price", required=False)
    discount = PriceBox(label="Discount", required=False)
    out = forms.BooleanField(required=False, label="Leave it out")
    tax_percent = FigureField(label="Tax", unit="%", required=False)
    relief = UntaxedField("Tax exemption reason")
    store = forms.BooleanField(required=False, label="Charge the storage")
    storage = PriceBox(required=False, label="Storage")

    def __init__(
        self, *, row: int, about: Thing, taxed: bool, only: bool, initial: Mapping[str, Any] = {}, **options: Any
    ) -> None:
        self.row, self.about = row, about
        given = {"asked": about.asked, **initial, "thing": about.key}
        super().__init__(prefix=f"line-{row}", initial=given, **options)
        if not taxed:
            del self.fields["tax_percent"], self.fields["relief"]
        if only:
            del self.fields["out"]
        if about.storage is None:
            del self.fields["store"], self.fields["storage"]
        else:
            self.fields["store"].help_text = storage_words(about.storage)
            self.fields["storage"].initial = about.storage.charge
        if about.job is not None:
            self.fields["asked"].label = "Kept" if about.job.given_up_on else "Agreed"

    @property
    def left_out(self) -> bool:
        return bool(self.cleaned_data.get("out"))

    def price(self) -> Decimal | None:
        """The price as it stands in the boxes; see `taken_of`."""
        return taken_of({name: self[name].value() for name in ("asked", "taken", "discount")})

    def item(self) -> Item:
        thing, found = self.about, self.cleaned_data
        off = found["discount"] if found["taken"] is None else found["asked"] - found["taken"]
        return Item(
            KIND_OF[thing.kind],
            found["asked"],
            **{thing.kind: getattr(thing, thing.kind)},
            discount=off or ZERO,
            tax_percent=found.get("tax_percent"),
            relief=found.get("relief", ""),
        )

    def stored(self) -> Item | None:
        """What is charged for waiting; None where that was not ticked."""
        found = self.cleaned_data
        if not found.get("store") or not found.get("storage"):
            return None
        words = f"Storage of {self.about.name}"
        tax, relief = found.get("tax_percent"), found.get("relief", "")
        return Item("other", found["storage"], words=words, tax_percent=tax, relief=relief)

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if found.get("store") and not found.get("storage") and "storage" not in self.errors:
            self.add_error("storage", "Say what the storage comes to, or take the tick out.")
        asked, taken, off = (found.get(name) for name in ("asked", "taken", "discount"))
        if self.errors or asked is None:
            return found
        if taken is not None and off is not None and asked - off != taken:
            self.add_error("discount", f"{asked} less {off} is not {taken}. Clear one of the two.")
        elif taken is not None and taken > asked:
            self.add_error("taken", f"{taken} is more than the list price. Set the list price to it.")
        elif off is not None and off > asked:
            self.add_error("discount", f"{off} off {asked} leaves nothing. Take off less.")
        return found


def storage_words(found: Storage) -> str:
    """How a charge was calculated, for whoever decides whether to ask it."""
    days = f"{found.charged_days} day{'' if found.charged_days == 1 else 's'}"
    until = formats.day(found.free_until)
    return f"{days} after {until}, by your terms, come to {figures.money(found.charge)}. A line of its own on the bill."


def taken_of(values: Mapping[str, Any]) -> Decimal | None:
    """The price in a line's boxes as they stand, for the haggling line; None where they cannot be read."""

    def read(name: str) -> Decimal | None:
        try:
            found = MoneyBox(required=False).to_python(values.get(name))
        except forms.ValidationError:
            return None
        return found if found is not None and found.is_finite() and abs(found) < MOST else None

    asked, taken, off = read("asked"), read("taken"), read("discount")
    if taken is None and asked is not None:
        taken = asked - (off or 0)
    return taken if taken is not None and taken > 0 else None
