"""The page that reverses one entry by a linked one, or undoes it: one form and one view for every kind of entry."""

from datetime import date
from typing import Any

from django import forms

from inventory.base import selectors as workshop
from inventory.web.forms import DayField, EntryForm
from inventory.web.views import About, M

ON, REASON = "on", "reason"


class ReversalForm(EntryForm):
    """What a reversal asks: a day, a reason, both or neither."""

    reason = forms.CharField(
        max_length=200, label="Reason", help_text="Stays in the books beside the entry it reverses."
    )
    on = DayField(
        required=False, initial=None, label="On", help_text="The day of the entry, unless the books are closed to it."
    )

    def __init__(self, *args: Any, asks: tuple[str, ...], **options: Any) -> None:
        super().__init__(*args, **options)
        for name in {REASON, ON} - {*asks}:
            del self.fields[name]


class Reversal(About[M]):
    """Reverses one entry. `asks` names what its form asks; `enter` calls the service with `**self.sent(form)`."""

    form_class = ReversalForm
    asks: tuple[str, ...] = (ON,)
    submit = "Reverse"
    danger = True
    success_message = "Reversed; both entries stay in the books, linked."

    def happened(self) -> date:
        """The day of the entry."""
        day: date = getattr(self.thing, ON)
        return day

    def form_options(self) -> dict[str, Any]:
        return {"asks": self.asks}

    def get_initial(self) -> dict[str, Any]:
        """The day of the entry, or today where its books are closed."""
        if ON not in self.asks:
            return {}
        closed, day = workshop.current().closed_to, self.happened()
        return {ON: workshop.today() if closed and day <= closed else day}

    def sent(self, form: forms.Form) -> dict[str, Any]:
        found = super().sent(form)
        return {**found, ON: found[ON] or self.happened()} if ON in self.asks else found
