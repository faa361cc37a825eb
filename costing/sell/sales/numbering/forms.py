"""The form of how the numbers of papers are written."""

from typing import Any

from django import forms

from costing.sell.sales.numbering.models import Series
from costing.sell.sales.numbering.services import MOST_DIGITS
from inventory.web.forms import GroupedForm


class SeriesForm(GroupedForm):
    """Prefix and digits of each series; those with a paper are shown and cannot be written."""

    def __init__(self, *args: Any, rows: dict[str, Series], **options: Any) -> None:
        super().__init__(*args, **options)
        self.legends = {str(label): (f"{kind}_prefix", f"{kind}_digits") for kind, label in Series.Kind.choices}
        for kind, row in rows.items():
            self.fields[f"{kind}_prefix"] = forms.CharField(
                max_length=8, required=False, label="Begins with", initial=row.prefix, disabled=bool(row.last)
            )
            self.fields[f"{kind}_digits"] = forms.IntegerField(
                min_value=1, max_value=MOST_DIGITS, label="Digits", initial=row.digits, disabled=bool(row.last)
            )

    def written(self) -> dict[str, tuple[str, int]]:
        given = self.cleaned_data
        return {kind: (given[f"{kind}_prefix"], given[f"{kind}_digits"]) for kind in Series.Kind.values}
