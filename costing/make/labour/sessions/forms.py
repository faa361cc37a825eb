"""Forms of timed sessions: start a timer on skins, stop it, drop it."""

from collections.abc import Sequence
from typing import Any

from django import forms

from costing.make.batches.stays.forms import SkinsField
from costing.make.forms import KindField
from costing.make.labour import selectors as labour
from costing.make.labour.sessions import selectors as sessions
from costing.make.recipes.models import TaskKind
from inventory.models import Skin
from inventory.web.fields import Suggest
from inventory.web.forms import EntryForm, FigureField, MomentField, NoteField


class StartForm(EntryForm):
    """The page draws the skins by itself, as tags under their batch. `task` cleans to what was typed, else to what was tapped;
    a tapped word has its kind from before, a typed one the kind chosen beside it."""

    at = MomentField(required=False)
    other = NoteField("Or at something else", longest=80, widget=Suggest(labour.tasks))
    kind = KindField()

    def __init__(self, *args: Any, skins: Sequence[Skin], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["skins"] = SkinsField(skins, label="On which skins")
        self.offered = words = sessions.tasks()
        sent = self.data.get("task", "")
        offered = [*words] if not sent or sent in words else [*words, sent]
        self.fields["task"] = forms.ChoiceField(
            choices=[(word, word.capitalize()) for word in offered],
            initial=offered[0],
            label="At what",
            widget=forms.RadioSelect,
        )

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        if not found.get("other"):
            found["kind"] = self.offered.get(found.get("task", ""), TaskKind.OTHER)
        found["task"] = found.pop("other", "") or found.get("task")
        return found


class StopForm(EntryForm):
    at = MomentField(required=False)
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
    next = forms.CharField(max_length=200, widget=forms.HiddenInput, required=False)
    minutes = FigureField(
        unit="min", required=False, label="Minutes really worked", help_text="Empty: from the start until now."
    )


class DropForm(EntryForm):
    key = forms.CharField(max_length=64, widget=forms.HiddenInput)
