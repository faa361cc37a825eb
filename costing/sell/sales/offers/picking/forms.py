"""The form that picks what is sold."""

from collections.abc import Sequence
from typing import Any

from django import forms

from costing.sell.sales.offers.forms import PickField, piece_words
from costing.sell.sales.offers.picking import selectors as picking


class PickForm(forms.Form):
    """Which things; asked by address, so that the next page can be reached again. `words`: only what has them is offered, where
    anything has. `place` (id): where the pieces are that come first."""

    find = forms.CharField(
        max_length=20,
        required=False,
        label="Number or tag",
        help_text="As on the ticket or the tag; a reader of barcodes types it here. Or a word: a species, a place, a customer.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "characters"}),
    )

    def __init__(self, *args: Any, words: str = "", place: int | None = None, **options: Any) -> None:
        super().__init__(*args, **options)
        self.found = bool(words) and self.offer(words, place)
        if not self.found:
            self.offer("", place)

    def offer(self, words: str, place: int | None) -> bool:
        """Whether there is anything to offer."""
        pieces, jobs, skins = picking.pieces(words, place), picking.jobs(words), picking.spoiled(words)
        self._offer("piece", "Pieces here", pieces.more, [(row.number, piece_words(row)) for row in pieces.rows])
        named = [(row.number, f"{row.number} {row.customer}: {row.work}") for row in jobs.rows]
        self._offer("job", "Work that is done", jobs.more, named)
        self._offer("skin", "Spoiled skins", skins.more, [(row.tag, f"{row.tag} {row.species}") for row in skins.rows])
        return len(self.fields) > 1

    def _offer(self, name: str, label: str, more: bool, choices: Sequence[tuple[str, str]]) -> None:
        if choices:
            note = f"The last {len(choices)}. Type a word above and go on to find others." if more else ""
            self.fields[name] = PickField(choices, label=label, help_text=note)
