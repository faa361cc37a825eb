"""The form of a job that is taken at the door, in one go."""

from typing import Any

from django import forms

from costing.make.batches.stays.forms import told_apart
from costing.make.readings.forms import PhotoField
from costing.sell.customers import selectors as customers
from costing.sell.jobs import selectors as jobs
from costing.sell.jobs.forms import AgreedForm
from costing.sell.payments.models import Payment
from inventory.models import Skin
from inventory.places.forms import place_field
from inventory.skins import forms as skin_forms, selectors as skins
from inventory.web.fields import Judged, MoneyBox, Suggest, halved
from inventory.web.forms import DayField, FigureField, NoteField

# No tag can begin so.
COMES_IN = "~now"


class SkinHereField(Judged, forms.ChoiceField):
    """A customer's skin that is here without a job."""

    def __init__(self, **options: Any) -> None:
        super().__init__(choices=self.offered, **options)

    @staticmethod
    def offered() -> list[tuple[str, str]]:
        return [(COMES_IN, "It comes in now"), *((skin.tag, told_apart(skin)) for skin in jobs.waiting_skins())]


class JobForm(AgreedForm):
    """Everything at the door in one go."""

    field_order = (
        *("customer", "electronic_address", "skin", "tag", "species", "condition"),
        *("work", "price", "deposit", "ready_by"),
    )
    more = (
        *("amount", "how", "green_weight", "weight_unit", "photo", "sex_age", "place"),
        *("postal_address", "number", "taken_on", "note"),
    )
    customer = forms.CharField(
        max_length=80, widget=Suggest(customers.names), help_text="A name used before is the same one."
    )
    postal_address = NoteField("Address")
    electronic_address = NoteField("Phone or mail", longest=120)
    skin = SkinHereField(initial=COMES_IN)
    tag = halved(forms.CharField(max_length=20))
    species = halved(forms.CharField(max_length=60, widget=Suggest(skins.species)))
    sex_age = NoteField("Sex and age", longest=40)
    green_weight = FigureField(places=skin_forms.FINE, required=False, label="Weight on receipt")
    weight_unit = skin_forms.weight_unit_field()
    place = place_field("Location")
    photo = PhotoField(required=False, help_text="Of the skin as it came.")
    amount = MoneyBox(required=False, min_value=0, label="Received now", help_text="Towards the deposit.")
    how = halved(forms.ChoiceField(choices=Payment.How.in_money(), label="Paid by"))
    number = forms.CharField(max_length=20, label="Job number")
    taken_on = DayField(label="Taken on")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        if not jobs.waiting_skins():
            self.fields["skin"].widget = forms.HiddenInput()
        if self["skin"].value() not in (COMES_IN, None, ""):
            self.fields["tag"].required = self.fields["species"].required = False

    def clean_skin(self) -> Skin | None:
        """The skin that is here already; None for one that comes in now."""
        tag = self.cleaned_data["skin"]
        if tag == COMES_IN:
            return None
        row = Skin.objects.filter(tag=tag).first()
        if row is None:
            raise forms.ValidationError("There is no such skin. Choose another, or let it come in now.")
        return row
