"""What the lists of the ground floor can be narrowed by: words, and one or two choices."""

from __future__ import annotations

from django import forms

from inventory.web.forms import EntryForm, Finder, words


class SupplierFinder(Finder):
    looks_in = ("name", "note")
    words = words("Name or note")


class NoteForm(EntryForm):
    note = forms.CharField(
        max_length=200, required=False, help_text="Opening hours, terms, whom to ask for; nothing secret."
    )
