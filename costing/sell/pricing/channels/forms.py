"""The form of a channel."""

from django import forms

from inventory.models import Place
from inventory.places.forms import place_field
from inventory.web.fields import MoneyBox
from inventory.web.forms import EntryForm, FigureField


class ChannelForm(EntryForm):
    name = forms.CharField(max_length=60, help_text="Fair with card, online, the gallery by name.")
    fee_percent = FigureField(
        label="Fee", unit="%", initial=0, help_text="Of the price: commission, platform or card fee."
    )
    fixed_cost = MoneyBox(label="Each sale costs", initial=0, help_text="Postage and box, if you pay them.")
    usual = forms.BooleanField(
        required=False, label="The usual way I sell", help_text="Prices are first worked out for it."
    )
    place = place_field(
        "Gallery",
        among=Place.objects.filter(kind=Place.Kind.GALLERY),
        empty_label="No gallery",
        help_text="The place that holds pieces on sale or return; they are sold through this and no other.",
    )
