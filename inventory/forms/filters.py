"""What the lists of the ground floor can be narrowed by: words, and one or two choices."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import Q, QuerySet

from inventory.models import Place, Skin, Supplier


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


class ShelfFinder(Finder):
    looks_in = ("name", "code", "substance")
    words = words("Name or code")
    place = django_filters.ModelChoiceFilter(queryset=Place.objects.all(), empty_label="Anywhere")


class DeliveryFinder(Finder):
    looks_in = ("ref", "supplier__name")
    words = words("Reference or supplier")
    supplier = django_filters.ModelChoiceFilter(queryset=Supplier.objects.all(), empty_label="Anybody")


class SkinFinder(Finder):
    looks_in = ("tag", "species", "sex_age", "customer", "supplier__name")
    words = words("Tag, species or name")
    stage = django_filters.ChoiceFilter(choices=Skin.Stage.choices, empty_label="Any")
    owner = django_filters.ChoiceFilter(choices=Skin.Owner.choices, empty_label="Anybody's", label="Whose")


class SupplierFinder(Finder):
    looks_in = ("name", "note")
    words = words("Name or note")


class PlaceFinder(Finder):
    looks_in = ("name",)
    words = words("Name")
    kind = django_filters.ChoiceFilter(choices=Place.Kind.choices, empty_label="Any")
