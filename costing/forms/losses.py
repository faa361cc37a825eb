"""Forms of losses: writing a skin off, who bears it, and the questions what a raw skin may cost and whether to go on."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from inventory.forms.entry import DayField, EntryForm, FigureField
from inventory.forms.measures import MoneyBox, Suggest

WAYS = [("no", "Write it off"), ("yes", "Let the skins that were with it bear it")]


def usual_reasons() -> list[str]:
    return ["hair slipped", "spoiled in the heap", "torn", "eaten by beetle or mouse"]


class LoseForm(EntryForm):
    on = DayField(label="Lost on", help_text="It bears the costs of this day, none after.")
    reason = forms.CharField(max_length=200, widget=Suggest(usual_reasons))
    step = forms.CharField(
        max_length=40,
        required=False,
        label="In which step",
        help_text="Empty: the step its batch was in that day. Loss rates are told by it.",
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


class BearForm(EntryForm):
    """Nothing is typed: the button says it."""


class GoOnForm(forms.Form):
    """A question, not an entry: nothing of it is kept. Empty boxes take what the log says."""

    now = MoneyBox(required=False, min_value=0, label="As it is now, it would bring")
    done = MoneyBox(required=False, min_value=0, label="Finished, a sale leaves")
    minutes = FigureField(required=False, min_value=0, unit="min", label="Work still to come")
    money = MoneyBox(required=False, min_value=0, label="Materials still to come")


class MostForm(forms.Form):
    """What a raw skin may cost. Empty boxes take what the log says of the species."""

    species = forms.ChoiceField()
    net = MoneyBox(required=False, min_value=0, label="A sale leaves", help_text="The price less what selling costs.")
    hourly = MoneyBox(required=False, min_value=0, label="An hour has to earn")
    rate = FigureField(
        required=False, min_value=0, max_value=100, unit="%", label="Of those bought, lost", help_text=""
    )
    before_money = MoneyBox(required=False, min_value=0, label="Materials until it may be lost")
    before_minutes = FigureField(required=False, min_value=0, unit="min", label="Work until then")
    after_money = MoneyBox(required=False, min_value=0, label="Materials after it")
    after_minutes = FigureField(required=False, min_value=0, unit="min", label="Work after it")
    salvage = MoneyBox(required=False, min_value=0, label="A lost one still brings")

    def __init__(self, *args: Any, species: Sequence[str] = (), **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["species"] = forms.ChoiceField(choices=[(name, name) for name in species])
