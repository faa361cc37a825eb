"""The form of one entry on a batch's step."""

from typing import Any

from django import forms

from costing.make.steps.models import StepMark
from inventory.web.forms import DayField, EntryForm, FigureField, MomentField, NoteField


class StepForm(EntryForm):
    """One tap sends kind, minutes and the moment; the form with the details sends the day instead of the moment. `missing`: what
    of the step did not go in, in words."""

    on = DayField(required=False, label="Day", help_text="Empty: today.")
    minutes = FigureField(
        required=False, unit="min", help_text="Of your hands, for the whole batch. Empty: none are logged."
    )
    without = NoteField("Why it is left out")
    note = NoteField()
    kind = forms.CharField(widget=forms.HiddenInput)
    at = MomentField(required=False)
    next = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, kind: str, missing: str, **options: Any) -> None:
        super().__init__(*args, **options)
        if missing:
            said = f"Not in yet: {missing}. Add it first, or say why the step is done without."
            self.fields["without"].help_text = said
        else:
            del self.fields["without"]
        if kind == StepMark.Kind.SKIPPED:
            del self.fields["minutes"]
