"""The price at which softening is judged."""

from __future__ import annotations

from django import forms

from inventory.web.fields import MoneyBox


class AskedForm(forms.Form):
    """A question, not an entry: nothing of it is kept."""

    price = MoneyBox(required=False, min_value=0, label="If it sold at")
