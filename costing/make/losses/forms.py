"""The form of a lost skin."""

from collections.abc import Sequence
from typing import Any

from django import forms

from inventory.web.fields import Suggest
from inventory.web.forms import DayField, EntryForm, NoteField

WAYS = [("no", "Write it off"), ("yes", "Reallocate it to the skins that were with it")]


def usual_reasons() -> list[str]:
    return ["hair slipped", "spoiled in the heap", "torn", "eaten by beetle or mouse"]


class LoseForm(EntryForm):
    on = DayField(label="Lost on", help_text="Costs of this day are allocated to it, none after.")
    reason = forms.CharField(max_length=200, widget=Suggest(usual_reasons))
    step = NoteField(
        "In which step", longest=40, help_text="Empty: the step its batch was in that day. Loss rates are shown by it."
    )
    spread = forms.ChoiceField(
        choices=WAYS,
        widget=forms.RadioSelect,
        required=False,
        label="Its cost",
        help_text="You may change your mind later, until the day is closed.",
    )

    def __init__(self, *args: Any, steps: Sequence[str] = (), may_spread: bool = True, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["step"].widget = Suggest(lambda: list(steps))
        self.fields["step"].widget.attrs["maxlength"] = 40
        if not may_spread:
            del self.fields["spread"]
