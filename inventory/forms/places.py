"""Forms of places and of a supplier's note."""

from __future__ import annotations

from typing import Any

from django import forms

from inventory.forms.entry import EntryForm, FigureField
from inventory.models import Place


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


class NoteForm(EntryForm):
    note = forms.CharField(
        max_length=200, required=False, help_text="Opening hours, terms, whom to ask for; nothing secret."
    )
