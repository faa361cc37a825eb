"""Forms of places and of a supplier's note."""

from __future__ import annotations

from django import forms

from inventory.forms.entry import EntryForm
from inventory.models import Place


class PlaceForm(EntryForm):
    name = forms.CharField(max_length=60, help_text="Shelf by the door, tub 1, gallery in town.")
    kind = forms.ChoiceField(choices=Place.Kind.choices, initial=Place.Kind.SHELF)


class NoteForm(EntryForm):
    note = forms.CharField(
        max_length=200, required=False, help_text="Opening hours, terms, whom to ask for; nothing secret."
    )
