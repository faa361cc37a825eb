"""How a paper is wanted, asked for in its address."""

from typing import Any

from django import forms
from django.http import QueryDict

from inventory.errors import Refused
from inventory.web.forms import FigureField


class PaperForm(forms.Form):
    """How a label is wanted, asked for in its address."""

    copies = forms.IntegerField(required=False)
    sheet = forms.CharField(required=False)
    start = forms.IntegerField(required=False)
    language = forms.CharField(required=False)
    litres = FigureField(required=False, plain=True)

    @classmethod
    def options(cls, given: QueryDict) -> dict[str, Any]:
        """Only what the address names; what cannot be read is refused in words, and the paper refuses the rest."""
        form = cls(given)
        if not form.is_valid():
            field = next(iter(form.errors))
            raise Refused(f"{field} {given[field]!r} is not a number. Write it as 1 or 0.5.", field=field)
        found = {name: value for name, value in form.cleaned_data.items() if value not in (None, "")}
        if "language" in found:
            found["languages"] = found.pop("language").split(",")
        return found
