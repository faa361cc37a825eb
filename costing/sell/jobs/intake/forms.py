"""Forms of jobs: taking one in one go, putting right what was agreed, telling that it is ready; and the list's finder."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from costing.make.readings.forms import PhotoField
from costing.sell.customers import selectors as customers
from costing.sell.jobs.forms import COMES_IN, AgreedForm, SkinHereField
from costing.sell.payments.models import Payment
from inventory import units
from inventory.base import selectors as workshop
from inventory.models import Place, Skin
from inventory.skins import selectors as skins
from inventory.skins.forms import FINE, WEIGHTS
from inventory.web.fields import Groups, MoneyBox, Suggest, UnitField
from inventory.web.forms import DayField, FigureField


class JobForm(AgreedForm):
    """Everything at the door in one go."""

    customer = forms.CharField(
        max_length=80, widget=Suggest(customers.names), help_text="A name used before is the same customer."
    )
    postal_address = forms.CharField(max_length=200, required=False, label="Address")
    electronic_address = forms.CharField(max_length=120, required=False, label="Phone or mail")
    skin = SkinHereField(initial=COMES_IN)
    tag = forms.CharField(max_length=20, help_text="What you tie to it.")
    species = forms.CharField(max_length=60, widget=Suggest(skins.species))
    sex_age = forms.CharField(max_length=40, required=False, label="Sex and age")
    green_weight = FigureField(places=FINE, required=False, label="Weight as it came")
    weight_unit = UnitField(label="Weighed in", of=[(name, units.label(name)) for name in WEIGHTS], required=False)
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="Not said")
    photo = PhotoField(required=False, help_text="Of the skin as it came.")
    amount = MoneyBox(required=False, min_value=0, label="Received now", help_text="Towards the deposit.")
    how = forms.ChoiceField(choices=Payment.How.choices, label="Paid by")
    number = forms.CharField(max_length=20, label="Job number")
    taken_on = DayField(label="Taken on", initial=workshop.today)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if self["skin"].value() not in (COMES_IN, None, ""):
            self.fields["tag"].required = self.fields["species"].required = False

    @property
    def groups(self) -> Groups:
        named = {
            "Who": ("customer", "postal_address", "electronic_address"),
            "The skin": ("skin", "tag", "species", "sex_age", "green_weight", "weight_unit", "place"),
            "As it came": ("condition", "photo"),
            "The work": ("work", "price", "deposit", "ready_by"),
            "Money now": ("amount", "how"),
            "On paper": ("number", "taken_on", "note"),
        }
        return [(legend, [self[name] for name in names]) for legend, names in named.items()]

    def clean_skin(self) -> Skin | None:
        """The skin that is here already; None for one that comes in now."""
        tag = self.cleaned_data["skin"]
        if tag == COMES_IN:
            return None
        row = Skin.objects.filter(tag=tag).first() if "\x00" not in tag else None
        if row is None:
            raise forms.ValidationError("There is no such skin. Choose another, or take it in now.")
        return row

    def grams(self) -> Decimal | None:
        amount: Decimal | None = self.cleaned_data["green_weight"]
        unit = self.cleaned_data["weight_unit"] or WEIGHTS[0]
        return None if amount is None else units.to_base(amount, unit, "g")
