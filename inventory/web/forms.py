"""Forms of batches: the plan, its change, skins in and out, materials put in work and taken back."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any, cast

import django_filters
from django import forms
from django.db.models import Model, Q, QuerySet
from django.forms.formsets import BaseFormSet, formset_factory


def years(model: type[Model]) -> list[int]:
    return sorted((day.year for day in model._default_manager.dates("on", "year")), reverse=True)


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


class SureForm(EntryForm):
    """Nothing to fill in: only to be sure."""


class ReverseUseForm(EntryForm):
    reason = forms.CharField(max_length=200, help_text="Stays in the books beside the entry it takes back.")
    on = DayField(label="On", help_text="The day of the entry, unless the books are closed to it.")


class Finder(django_filters.FilterSet):  # type: ignore[misc]
    """A filter set whose `words` are looked for in the columns named by `looks_in`; every word must be found in one."""

    looks_in: tuple[str, ...] = ()

    def by_words(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        for word in value.split():
            found = Q()
            for column in self.looks_in:
                found |= Q(**{f"{column}__icontains": word})
            rows = rows.filter(found)
        return rows


def words(label: str) -> django_filters.CharFilter:
    return django_filters.CharFilter(
        method="by_words", label=label, max_length=80, widget=forms.TextInput(attrs={"type": "search"})
    )


class BackForm(EntryForm):
    """Takes an entry back by a linked one."""

    on = DayField(label="On", help_text="The day of the entry, unless the books are closed to it.")


class _YearFinder(Finder):
    year = django_filters.ChoiceFilter(method="by_year", choices=list, empty_label="Any", label="Year")
    model: Any = None

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.filters["year"].extra["choices"] = [(str(year), str(year)) for year in years(self.model)]

    def by_year(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return rows.filter(on__year=int(value))


class TakeBackForm(EntryForm):
    reason = forms.CharField(max_length=200, label="Why it is taken back")
    on = DayField(
        required=False,
        label="Day of the correction",
        help_text="Left empty, the day of the entry itself. Needed only when that day's books are closed.",
    )


if TYPE_CHECKING:
    _Base = BaseFormSet[Any]
else:
    _Base = BaseFormSet  # takes its type argument in the stubs only


MORE = "more"
EMPTY_ROWS = 3
STEP = 3
MOST = 60


class Rows(_Base):
    """Rows that may each be left empty, also those that were filled before more were asked for."""

    def initial_form_count(self) -> int:
        return 0

    def filled(self) -> Iterator[Any]:
        """The forms in which something was entered, in order."""
        return (form for form in self.forms if form.has_changed())

    def complaints(self) -> list[str]:
        """Every fault with the row it stands in, for the summary above the form."""
        told = [str(error) for error in self.non_form_errors()]
        for number, form in enumerate(self.forms, start=1):
            for name, errors in form.errors.items():
                label = "" if name == "__all__" else f", {form[name].label.lower()}"
                told += [f"Line {number}{label}: {error}" for error in errors]
        return told


def rows(form: type[forms.Form], *, empty: int = EMPTY_ROWS) -> type[Rows]:
    made = formset_factory(form, formset=Rows, extra=empty, max_num=MOST, absolute_max=MOST)
    return cast("type[Rows]", made)


def typed(fields: Iterable[str], data: Mapping[str, Any], prefix: str = "") -> dict[str, Any]:
    """What stands in the boxes as it was typed, unjudged: to show a form again."""
    names = {name: f"{prefix}-{name}" if prefix else name for name in fields}
    return {name: data.get(html, "") for name, html in names.items()}


def more(kind: type[Rows], data: Mapping[str, Any], *, prefix: str, form_kwargs: dict[str, Any]) -> Rows:
    """The rows as they were typed, with further empty ones below; nothing is judged yet."""
    count = str(data.get(f"{prefix}-TOTAL_FORMS", ""))
    there = min(MOST, int(count)) if count.isascii() and count.isdigit() and len(count) < 6 else 0
    kept = [typed(kind.form.base_fields, data, f"{prefix}-{row}") for row in range(there)]
    made = kind(initial=kept, prefix=prefix, form_kwargs=form_kwargs)
    made.extra = min(MOST, there + STEP)
    return made


class SureFormRoof(EntryForm):
    """Nothing to fill in: pressing the button is the whole of it."""
