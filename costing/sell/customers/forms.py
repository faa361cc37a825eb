"""Forms of customers, and what their list can be narrowed by."""

from __future__ import annotations

from django import forms

from inventory.web.forms import EntryForm, Finder, words


class CustomerForm(EntryForm):
    name = forms.CharField(max_length=80)
    postal_address = forms.CharField(
        max_length=200,
        required=False,
        label="Address",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="An invoice names it.",
    )
    electronic_address = forms.CharField(max_length=120, required=False, label="Phone or mail")
    tax_number = forms.CharField(max_length=40, required=False, help_text="Of a business that buys from you.")
    note = forms.CharField(
        max_length=200, required=False, help_text="Keep only what you need: they may ask what you know of them."
    )


class CustomerFinder(Finder):
    looks_in = ("name", "postal_address", "electronic_address", "note")
    words = words("Name, address or note")
