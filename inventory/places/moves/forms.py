"""Forms of moves: where a thing goes, how a piece leaves without a sale."""

from django import forms

from inventory.places.forms import place_field
from inventory.places.moves.services import BY_HAND
from inventory.web.forms import DayField, EntryForm, NoteField

WHY = [(why.value, why.label) for why in BY_HAND]


class MoveForm(EntryForm):
    to = place_field("To")
    on = DayField(label="Day")
    note = NoteField()


class OutForm(EntryForm):
    why = forms.ChoiceField(choices=WHY, label="How it leaves", widget=forms.RadioSelect)
    on = DayField(label="Day")
    note = NoteField(help_text="To whom it was given, what spoiled it, when it was last seen: your books may be asked.")
