"""The form of a channel."""

from decimal import Decimal

from django import forms

from inventory.models import Place
from inventory.money import ZERO
from inventory.places.forms import place_field
from inventory.web.fields import MoneyBox
from inventory.web.forms import EntryForm, FigureField, NoteField


class ChannelForm(EntryForm):
    more = ("resells", "relief", "place")
    name = forms.CharField(max_length=60, help_text="Fair with card, online, the gallery by name.")
    fee_percent = FigureField(
        label="Fee", unit="%", initial=0, help_text="Of what is paid: commission, platform or card fee."
    )
    fee_fixed = MoneyBox(
        label="And a fixed fee", required=False, help_text="For each sale, as “2.6 % + 0.10” says it. Empty: none."
    )
    fixed_cost = MoneyBox(
        label="Postage and box", initial=0, help_text="What a sale costs you besides, if you pay it: an estimate."
    )
    resells = forms.ChoiceField(
        choices=[("", "I do"), ("yes", "They do, as a gallery with its own till")],
        required=False,
        label="Who sells to the public",
        help_text="If they do, their fee is of the price without tax.",
    )
    relief = NoteField(
        "Why you charge them no tax",
        longest=120,
        help_text="“Sale for resale” where sales tax is not charged to a reseller. Empty: your tax is charged, as VAT is.",
    )
    usual = forms.BooleanField(
        required=False, label="The usual way I sell", help_text="Prices are first worked out for it."
    )
    place = place_field(
        "Gallery",
        among=Place.objects.filter(kind=Place.Kind.GALLERY),
        empty_label="No gallery",
        help_text="The place that holds pieces on sale or return; they are sold through this and no other.",
    )

    def clean_fee_fixed(self) -> Decimal:
        return self.cleaned_data["fee_fixed"] or ZERO

    def clean_resells(self) -> bool:
        return bool(self.cleaned_data["resells"])
