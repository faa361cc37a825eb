"""Which period a statement of account is of."""

from datetime import date
from typing import Any

from django import forms
from django.http import QueryDict

from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.web.forms import DayField


def this_year() -> date:
    return workshop.today().replace(month=1, day=1)


class PeriodForm(forms.Form):
    since = DayField(label="From", initial=this_year)
    until = DayField(label="To")

    def clean(self) -> dict[str, Any]:
        found = super().clean() or self.cleaned_data
        first, last = found.get("since"), found.get("until")
        if first and last and last < first:
            self.add_error("until", f"{last} is before {first}. Enter the first day, then the last.")
        return found

    def period(self) -> tuple[date, date]:
        return self.cleaned_data["since"], self.cleaned_data["until"]


def asked(sent: QueryDict) -> PeriodForm:
    """The period that an address asks for; one that it does not name is this year up to today."""
    usual = {"since": this_year().isoformat(), "until": workshop.today().isoformat()}
    return PeriodForm({name: sent.get(name) or value for name, value in usual.items()})


def period(sent: QueryDict) -> tuple[date, date]:
    """As `asked`, for a file; one that is no period is refused."""
    form = asked(sent)
    for name, errors in form.errors.items():
        raise Refused(str(errors[0]), field=name)
    return form.period()
