"""What every form that posts has in common: a request key, and figures written with a comma or a point."""

from __future__ import annotations

import uuid
from datetime import datetime
from decimal import Decimal
from typing import Any

from django import forms


def fresh_key() -> str:
    return uuid.uuid4().hex


class FigureField(forms.DecimalField):
    """A decimal as makers type it: 1,5 or 1.5; no thousands signs. `unit` is shown beside the box."""

    def __init__(self, *, unit: str = "", places: int = 3, **options: Any) -> None:
        self.unit = unit
        options.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}))
        super().__init__(max_digits=15, decimal_places=places, **options)

    def to_python(self, value: object) -> Decimal | None:  # type: ignore[override]  # the stubs derive it from IntegerField
        if isinstance(value, str):
            value = value.strip().replace("\u202f", "").replace("\u00a0", "")
            if value.count(",") == 1 and "." not in value:
                value = value.replace(",", ".")
        return super().to_python(value)

    def prepare_value(self, value: object) -> object:
        return f"{value.normalize():f}" if isinstance(value, Decimal) else value


class DayField(forms.DateField):
    def __init__(self, **options: Any) -> None:
        options.setdefault("widget", forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
        super().__init__(**options)


class MomentField(forms.Field):
    """The moment of the tap as the device knew it, with its zone: an entry may wait hours for a signal. Blank: now.

    A form that can wait carries it as `at = MomentField(required=False)`; the page fills it in when the button is pressed.
    """

    widget = forms.HiddenInput(attrs={"data-moment": "", "autocomplete": "off"})

    def to_python(self, value: object) -> datetime | None:
        if value in self.empty_values:
            return None
        try:
            moment = datetime.fromisoformat(str(value).strip())
        except ValueError:
            moment = None
        if moment is None or moment.tzinfo is None:
            raise forms.ValidationError(
                f"“{str(value)[:40]}” is no moment with its zone, such as 2025-01-25T08:30:00+02:00. Load the page again."
            )
        return moment


def said(form: forms.Form) -> str:
    """All that a form was sent with, as one text: the same for the same entry sent again.

    Without its key and its token, and without the moment of the tap, which a second tap on the same form sets anew.
    """
    apart = {"request_key", "csrfmiddlewaretoken"}
    apart |= {name for name, field in form.fields.items() if isinstance(field, MomentField)}
    data, files = _sent(form.data), _sent(form.files)
    words = [(name, data[name]) for name in sorted(data.keys() - apart)]
    return repr((words, [(name, [(file.name, file.size) for file in files[name]]) for name in sorted(files)]))


def _sent(given: Any) -> dict[str, list[Any]]:
    return dict(given.lists()) if hasattr(given, "lists") else {name: [value] for name, value in given.items()}


def renew_key(form: forms.Form) -> None:
    """A fresh key for the form as it is shown again: sent once more, it is a new entry."""
    data: Any = form.data
    form.data = data = data.copy()
    data["request_key"] = fresh_key()


class EntryForm(forms.Form):
    """A form whose sending is safe to repeat: the hidden key makes the second one answer with the first."""

    # No autocomplete: a browser that fills old forms in again would send the old key, and the new entry would be taken for it.
    request_key = forms.CharField(
        widget=forms.HiddenInput(attrs={"autocomplete": "off"}), max_length=64, initial=fresh_key
    )
