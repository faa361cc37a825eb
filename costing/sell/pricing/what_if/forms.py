"""What is supposed, asked by GET: nothing is written. Each of the three questions may be left empty."""

from __future__ import annotations

from typing import Any

from django import forms

from costing.make.foresight.what_if import MOST_SKINS
from costing.make.recipes.models import Recipe
from costing.make.recipes.selectors import label
from costing.sell.pricing.what_if.selectors import SLOWER
from inventory.models import Material
from inventory.web.forms import DayField, FigureField, WholeField

USUAL_RISE, MOST_RISE = 20, 1000


class _Recipes(forms.ModelChoiceField):  # type: ignore[type-arg]  # takes its argument in the stubs only
    def label_from_instance(self, row: Recipe) -> str:
        return label(row)


class WhatIfForm(forms.Form):
    recipe = _Recipes(
        Recipe.objects.filter(versions__isnull=False).distinct(),
        to_field_name="code",
        required=False,
        label="Recipe",
        empty_label="no further batch",
    )
    skins = WholeField("Skins", least=1, most=MOST_SKINS, empty=1, initial=1)
    start = DayField(label="Begins on", initial=None, required=False, help_text="Empty: today.")
    material: forms.ModelChoiceField[Material] = forms.ModelChoiceField(
        Material.objects.order_by("name"),
        to_field_name="code",
        required=False,
        label="Material",
        empty_label="all at their price",
    )
    percent = FigureField(label="Price goes up by", unit="%", places=1, required=False, initial=USUAL_RISE)
    slower = forms.TypedChoiceField(
        choices=[("", "as it is now"), *((times, f"{words} as long") for times, words in SLOWER.items())],
        coerce=int,
        required=False,
        label="Lead time",
    )

    @property
    def groups(self) -> list[tuple[str, list[forms.BoundField]]]:
        legends = {
            "One more batch": ("recipe", "skins", "start"),
            "A dearer material": ("material", "percent"),
            "Slower deliveries": ("slower",),
        }
        return [(legend, [self[name] for name in names]) for legend, names in legends.items()]

    def clean_slower(self) -> int:
        return self.cleaned_data["slower"] or 1

    def clean_percent(self) -> Any:
        percent = self.cleaned_data["percent"]
        if percent is None:
            return self.fields["percent"].initial
        if not 0 < percent <= MOST_RISE:
            raise forms.ValidationError(f"Say by how much it goes up: more than 0 and at most {MOST_RISE} %.")
        return percent
