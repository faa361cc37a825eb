"""What the lists of the ground floor can be narrowed by: words, and one or two choices."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms

from inventory.places.models import Place
from inventory.web.forms import EntryForm, FigureField, Finder, words


class PlaceFinder(Finder):
    looks_in = ("name",)
    words = words("Name")
    kind = django_filters.ChoiceFilter(choices=Place.Kind.choices, empty_label="Any")


class PlaceForm(EntryForm):
    name = forms.CharField(max_length=60, help_text="Shelf by the door, tub 1, gallery in town.")
    kind = forms.ChoiceField(choices=Place.Kind.choices, initial=Place.Kind.SHELF)
    litres = FigureField(
        label="A tub holds",
        unit="L",
        required=False,
        help_text="To the brim. Then a bath that leaves no room for its froth is refused in time.",
    )
    holds = forms.IntegerField(
        label="Takes at once",
        required=False,
        min_value=1,
        max_value=1000,
        help_text="Batches in a tub, skins on frames; empty: one.",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )

    def described(self) -> dict[str, Any]:
        """What the services take of it."""
        found = self.cleaned_data
        named = {name: found[name] for name in ("name", "kind", "litres")}
        return {**named, "holds": found["holds"] or 1}
