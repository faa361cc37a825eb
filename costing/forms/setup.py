"""Forms of the rates and of the channels."""

from __future__ import annotations

from django import forms

from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.measures import MoneyBox
from inventory.models import Place


class RatesForm(EntryForm):
    since = DayField(
        label="They hold from",
        help_text="Days before keep the rates they had. Your first rates hold for all days before too.",
    )
    wage_per_hour = MoneyBox(
        label="My hour", help_text="What an hour of yours is to earn. Only in full cost, never in book cost."
    )
    overhead_per_hour = MoneyBox(
        label="Overhead an hour",
        help_text="Power, rent, insurance, phone of a year, divided by the making hours of a year.",
    )
    frame_wear = MoneyBox(label="A lacing", help_text="What a frame cost, divided by how many times it will be laced.")
    vat_percent = FigureField(
        label="Tax on sales",
        unit="%",
        help_text="0 when you are not registered for it. Ask your tax office for the rate.",
    )
    price_step = MoneyBox(
        label="Price step", help_text="Worked-out prices go up to the next step: 5. 0 leaves them to the cent."
    )


class ChannelForm(EntryForm):
    name = forms.CharField(max_length=60, help_text="Fair with card, online, the gallery by name.")
    fee_percent = FigureField(
        label="It keeps", unit="%", initial=0, help_text="Of the price: commission, platform or card fee."
    )
    fixed_cost = MoneyBox(label="Each sale costs", initial=0, help_text="Postage and box, if you pay them.")
    usual = forms.BooleanField(
        required=False, label="The usual way I sell", help_text="Prices are first worked out for it."
    )
    place = forms.ModelChoiceField(
        Place.objects.filter(kind=Place.Kind.GALLERY),
        required=False,
        empty_label="No gallery",
        label="Gallery",
        help_text="The place that holds pieces on sale or return; they are sold through this and no other.",
    )
