"""What a list can be narrowed by: words that are searched for, and a choice or two."""

from typing import Any

import django_filters
from django import forms
from django.db.models import Model, QuerySet

from inventory import formats
from inventory.base.finding import matching
from inventory.web.fields import Recent


class Finder(django_filters.FilterSet):
    """A filter set whose `words` are searched for in the columns named by `looks_in`; every word must be found in one."""

    looks_in: tuple[str, ...] = ()

    def by_words(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return matching(rows, value, self.looks_in)


def search(label: str) -> Any:
    """The box for the words."""
    return django_filters.CharFilter(
        method="by_words", label=label, max_length=80, widget=forms.TextInput(attrs={"type": "search"})
    )


def one_of(choices: Any, label: str | None = None, **options: Any) -> Any:
    """One of a list of choices, or any."""
    return django_filters.ChoiceFilter(**{"choices": choices, "label": label, "empty_label": "Any", **options})


class _RecordField(django_filters.fields.ModelChoiceField):
    """A record whose name has a day in it is called as the workshop writes days."""

    def label_from_instance(self, record: Any) -> str:
        return formats.dated(str(record))


class _RecordFilter(django_filters.ModelChoiceFilter):
    field_class = _RecordField


class _RecentField(Recent, _RecordField):
    def __init__(self, *args: Any, last: tuple[Any, ...], **options: Any) -> None:
        super().__init__(*args, **options)
        self.last = last


class _RecentFilter(django_filters.ModelChoiceFilter):
    field_class = _RecentField


def record_of(model: type[Model], label: str | None = None, **options: Any) -> Any:
    """One of the records of a kind, or any."""
    return _RecordFilter(**{"queryset": model._default_manager.all(), "label": label, "empty_label": "Any", **options})


def recent_of(model: type[Model], label: str | None = None, *last: Any, **options: Any) -> Any:
    """One of the last records of a kind that grows by itself, or any; the words of the list find the others."""
    given = {"queryset": model._default_manager.all(), "empty_label": "Any", "last": last or Recent.last, **options}
    return _RecentFilter(label=label, **given)


def year_of(model: type[Model]) -> Any:
    """One of the years in which there are entries of a kind, by the day that they happened `on`."""

    def years() -> list[tuple[str, str]]:
        found = sorted({day.year for day in model._default_manager.dates("on", "year")}, reverse=True)
        return [(str(year), str(year)) for year in found]

    return one_of(years, "Year", field_name="on__year")
