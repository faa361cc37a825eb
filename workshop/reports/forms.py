"""What narrows the tables of a year: words of their rows, and one of each group for what was sold."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.http import QueryDict

from costing.report.year.columns import GROUPED
from costing.report.year.profit.selectors import GROUPS
from costing.sell.sales.lines.selectors import SoldLine

# Stands in an address for a group without a name.
NAMELESS = "-"


class WordsForm(forms.Form):
    """Narrows a table by words in its rows."""

    words = forms.CharField(
        label="Search", required=False, max_length=80, widget=forms.TextInput(attrs={"type": "search"})
    )

    def fits(self, text: str) -> bool:
        """Whether all words asked for are in a text; words that cannot be read narrow nothing."""
        asked = self.cleaned_data.get("words", "") if self.is_valid() else ""
        return all(word in text.casefold() for word in asked.casefold().split())


class SoldForm(WordsForm):
    """Narrows what was sold: words of a piece or a paper, and one of each group."""

    def __init__(self, asked: QueryDict, lines: Sequence[SoldLine]) -> None:
        super().__init__(asked)
        self.lines = lines
        for group, column in GROUPED.items():
            known = sorted({GROUPS[group](row.sold) for row in lines})
            choices = [("", "Any"), *((name or NAMELESS, name or column.blank) for name in known)]
            self.fields[group] = forms.ChoiceField(label=column.title, required=False, choices=choices)

    def narrowed(self) -> list[SoldLine]:
        """The lines that fit all that was asked; a choice that is not there narrows nothing."""
        self.is_valid()
        asked = {group: self.cleaned_data[group] for group in GROUPED if self.cleaned_data.get(group)}
        return [row for row in self.lines if self._fits(row, asked)]

    def _fits(self, row: SoldLine, asked: dict[str, Any]) -> bool:
        grouped = all((GROUPS[group](row.sold) or NAMELESS) == value for group, value in asked.items())
        return grouped and self.fits(f"{row.sold.what} {row.sale.number} {row.line.words}")
