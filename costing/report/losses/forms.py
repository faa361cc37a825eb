"""Questions about a skin: what a raw one may cost, whether to go on with one, the price at which softening is judged."""

from collections.abc import Sequence
from typing import Any

from django import forms

from inventory.web.fields import MoneyBox
from inventory.web.forms import FigureField


class GoOnForm(forms.Form):
    """A question, not an entry: nothing of it is kept. Empty boxes take what the log says."""

    now = MoneyBox(required=False, min_value=0, label="As it is now, it would bring")
    done = MoneyBox(required=False, min_value=0, label="Finished, a sale contributes")
    minutes = FigureField(required=False, min_value=0, unit="min", label="Work still to come")
    money = MoneyBox(required=False, min_value=0, label="Materials still to come")


class MostForm(forms.Form):
    """What a raw skin may cost. Empty boxes take what the log says of the species."""

    species = forms.ChoiceField()
    net = MoneyBox(
        required=False, min_value=0, label="A sale contributes", help_text="The price less what selling costs."
    )
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


class AskedForm(forms.Form):
    """A question, not an entry: nothing of it is kept."""

    price = MoneyBox(required=False, min_value=0, label="If it sold at")
