"""The question a bath is asked with: how large, how warm, with what instead. A question, so it is sent by GET."""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from django import forms

from costing.make.baths.chemistry import bath
from inventory import units
from inventory.models import Material, Place
from inventory.places.forms import place_field
from inventory.web.fields import BathField, DegreesField, FloatField, WeightField
from inventory.web.forms import WholeField

ALIKE = {"alum": "Alum", "soda": "Soda"}

# Where a refusal speaks of a value under another name than its box has here.
BOXES = {"weight_g": "weight"}


class BathForm(forms.Form):
    """`kin` are the materials that could stand in, by kind; `days` those on which the recipe mixes a bath."""

    litres = BathField("{} of bath", required=False)
    weight = WeightField(label="Or drained weight of the skins", required=False)
    float_ratio = FloatField(label="times the float", required=False, help_text="Bath to the weight of the skins.")
    vessel = place_field(
        "Tub",
        among=Place.objects.filter(kind=Place.Kind.TUB),
        empty_label="–",
        help_text="Alone: the most that it holds with room for the froth.",
    )
    skins = WholeField("Skins", least=1, most=1000, required=False, help_text="Empty: by the recipe's bath for a skin.")
    celsius = DegreesField(label="Temperature of the bath", places=1, required=False, initial=bath.SHED_CELSIUS)

    def __init__(
        self,
        *args: Any,
        kin: Mapping[str, Sequence[Material]],
        days: Sequence[int],
        number: int | None = None,
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        self.known = {material.code: material for rows in kin.values() for material in rows}
        for kind, rows in kin.items():
            if rows:
                choices = [("", "as the recipe says"), *((row.code, _offered(row)) for row in rows)]
                self.fields[kind] = forms.ChoiceField(choices=choices, required=False, label=f"{ALIKE[kind]} to use")
        if len(days) > 1:
            self.fields["day"] = forms.TypedChoiceField(
                choices=[(day, f"Day {day}") for day in days], coerce=int, required=False, empty_value=None
            )
        if number is not None:
            self.fields["version"] = forms.IntegerField(initial=number, widget=forms.HiddenInput, required=False)

    def weight_g(self) -> Decimal | None:
        weight: Decimal | None = self.cleaned_data["weight"]
        return weight

    def used(self) -> list[Material]:
        found = (self.cleaned_data.get(kind) for kind in ALIKE)
        return [self.known[code] for code in found if code]


def _offered(row: Material) -> str:
    return f"{row.name}, {units.show(row.on_hand, row.unit)} there"
