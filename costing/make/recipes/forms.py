"""What the lists upstairs can be narrowed by: words, and one or two choices."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, cast

import django_filters
from django import forms
from django.forms.formsets import formset_factory

from costing.make.recipes.models import RecipeStep, TaskKind
from costing.make.recipes.rules import BASES
from costing.make.recipes.services import MOST_DAYS, MOST_MINUTES, MOST_STEPS
from inventory.materials.forms import MeasureForm
from inventory.models import Method
from inventory.web.forms import EntryForm, FigureField, Finder, Rows, rows, words


class RecipeFinder(Finder):
    looks_in = ("code", "name")
    words = words("Code or name")
    method = django_filters.ChoiceFilter(choices=Method.choices, empty_label="Any")


PERCENT = "percent_of_weight"


class VersionForm(EntryForm):
    """The next version: code and method stay what they are."""

    name = forms.CharField(
        max_length=80, required=False, label="What it is for", help_text="Potash-alum bath, hair on."
    )
    litres_per_skin = FigureField(
        label="Litres a skin", unit="L", required=False, help_text="Lets the shelf say how many skins it allows."
    )
    note = forms.CharField(max_length=200, required=False, help_text="What is new in this version.")


class RecipeForm(VersionForm):
    code = forms.CharField(max_length=20, help_text="Short, as you write it on the tub: R1.")
    method = forms.ChoiceField(choices=Method.choices, help_text="Decides the words of the care label.")
    field_order = ["code", "name", "method", "litres_per_skin", "note"]


class LineForm(MeasureForm):
    basis = forms.ChoiceField(choices=[("", "–"), *BASES.items()], required=False, label="Reckoned")
    step = forms.CharField(max_length=80, required=False)
    day = forms.IntegerField(
        required=False, min_value=0, max_value=3650, widget=forms.TextInput(attrs={"inputmode": "numeric"})
    )
    needed = {**MeasureForm.needed, "basis": "Choose what the amount is for, or empty the row."}
    together = (("material", "amount", "unit", "basis"), ("step", "day"))

    def lines(self) -> list[list[forms.BoundField]]:
        return _side_by_side(self, self.together)

    def by_measure(self, found: dict[str, Any]) -> bool:
        return bool(found["basis"] != PERCENT)


def _side_by_side(form: forms.Form, together: Iterable[Iterable[str]]) -> list[list[forms.BoundField]]:
    """The boxes of a row as they stand beside each other."""
    return [[form[name] for name in members] for members in together]


LineRows = rows(LineForm, empty=4)


class CountField(forms.IntegerField):
    """A whole number of days or minutes, at most `most`; empty is nought."""

    def __init__(self, label: str, *, most: int) -> None:
        box = forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"})
        super().__init__(label=label, required=False, min_value=0, max_value=most, widget=box)

    def clean(self, value: Any) -> int:
        return super().clean(value) or 0


class StepRowForm(forms.Form):
    """One step; a row in which nothing is entered is passed over."""

    name = forms.CharField(max_length=40, required=False, label="Step")
    task = forms.CharField(max_length=80, required=False, label="What is done")
    kind = forms.ChoiceField(choices=TaskKind.choices, initial=TaskKind.OTHER, required=False, label="Kind of work")
    uses = forms.ChoiceField(choices=RecipeStep.Uses.choices, required=False, label="Takes up")
    wait_days = CountField("Waits, days", most=MOST_DAYS)
    lasts_days = CountField("Lasts, days", most=MOST_DAYS)
    grace_days = CountField("Safe, days", most=MOST_DAYS)
    repeat = forms.CharField(max_length=40, required=False, label="Repeated meanwhile")
    every_days = CountField("Every, days", most=MOST_DAYS)
    repeat_minutes = CountField("Minutes each", most=MOST_MINUTES)
    minutes = CountField("Minutes, batch", most=MOST_MINUTES)
    minutes_per_skin = CountField("Minutes a skin", most=MOST_MINUTES)
    caution = forms.CharField(
        max_length=300, required=False, label="What to mind", widget=forms.Textarea(attrs={"rows": 2})
    )
    together = (
        ("name", "task", "kind", "uses"),
        ("wait_days", "lasts_days", "grace_days", "minutes", "minutes_per_skin"),
        ("repeat", "every_days", "repeat_minutes"),
        ("caution",),
    )

    def lines(self) -> list[list[forms.BoundField]]:
        return _side_by_side(self, self.together)

    def clean_kind(self) -> str:
        return str(self.cleaned_data["kind"] or TaskKind.OTHER)

    def clean_caution(self) -> str:
        """One line, however the box broke it."""
        return " ".join(str(self.cleaned_data["caution"]).split())

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if self.has_changed() and not found.get("name") and "name" not in self.errors:
            self.add_error("name", "Name the step, or empty the row.")
        return found


class _StepRows(Rows):
    def clean(self) -> None:
        """The marks of a batch go by the step's name, so no two may have the same."""
        seen: set[str] = set()
        for row in self.filled():
            name = str(row.cleaned_data.get("name", "")).casefold()
            if name and name in seen:
                row.add_error("name", "Another step has this name. Give each its own, such as Bath and Second bath.")
            seen.add(name)


StepRows = cast(
    "type[Rows]", formset_factory(StepRowForm, formset=_StepRows, extra=2, max_num=MOST_STEPS, absolute_max=MOST_STEPS)
)
