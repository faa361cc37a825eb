"""Planning back from a day."""

from __future__ import annotations

from datetime import date

from django import forms

from costing.make.recipes import selectors as recipes
from costing.make.recipes.models import RecipeVersion
from inventory.base import checks
from inventory.errors import Refused
from inventory.web.forms import DayField, WholeField


class BackPlanForm(forms.Form):
    """Asked by GET: nothing is written."""

    version: forms.ModelChoiceField[RecipeVersion] = forms.ModelChoiceField(
        recipes.versions(), label="Recipe and version", empty_label="Choose one"
    )
    finish = DayField(
        label="Finished by", initial=None, help_text="The fair, the birthday, the day it is to be fetched."
    )
    heads = WholeField("Number of skins", least=1, most=1000, initial=1)

    def clean_finish(self) -> date:
        finish: date = self.cleaned_data["finish"]
        try:
            return checks.day(finish, field="finish", plan=True, posts=False)
        except Refused as refusal:
            raise forms.ValidationError(str(refusal)) from None
