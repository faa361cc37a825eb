"""Forms of moves: where a thing goes, how a piece leaves without a sale, taking a move back."""

from __future__ import annotations

from django import forms

from inventory.base import selectors as workshop
from inventory.places.models import Place
from inventory.places.moves.services import BY_HAND
from inventory.web.forms import DayField, EntryForm

WHY = [(why.value, why.label) for why in BY_HAND]


class MoveForm(EntryForm):
    to = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="Not said", label="It goes to")
    on = DayField(label="Day", initial=workshop.today)
    note = forms.CharField(max_length=200, required=False)


class OutForm(EntryForm):
    why = forms.ChoiceField(choices=WHY, label="How it leaves", widget=forms.RadioSelect)
    on = DayField(label="Day", initial=workshop.today)
    note = forms.CharField(
        max_length=200,
        required=False,
        help_text="To whom it was given, what spoiled it, when it was last seen: your books may be asked.",
    )


class MoveTakeBackForm(EntryForm):
    """Nothing to fill in: the move keeps its day."""
