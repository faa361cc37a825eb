"""What the lists upstairs can be narrowed by: words, and one or two choices."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from costing.models import Batch
from costing.selectors import labour
from inventory.forms.filters import Finder, words
from inventory.models import Method


class RecipeFinder(Finder):
    looks_in = ("code", "name")
    words = words("Code or name")
    method = django_filters.ChoiceFilter(choices=Method.choices, empty_label="Any")


class BatchFinder(Finder):
    looks_in = ("number", "version__recipe__code", "place__name", "note")
    words = words("Number, recipe, place or skin")
    state = django_filters.ChoiceFilter(choices=Batch.State.choices, empty_label="Any")

    def by_words(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        # Skins by a subquery: a join would spoil the counts of the list.
        holding = Batch.objects.filter(stays__skin__tag__iexact=value.strip()).values("pk")
        return super().by_words(rows, _name, value) | rows.filter(pk__in=holding)


class LabourFinder(Finder):
    looks_in = ("task", "who")
    words = words("Task or who")
    batch = django_filters.ModelChoiceFilter(queryset=Batch.objects.order_by("number"), empty_label="Any")
    who = django_filters.ChoiceFilter(
        label="Who", empty_label="Anybody", null_label="Me", method="by_who", choices=list
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.filters["who"].extra["choices"] = [("-", "Me"), *((name, name) for name in labour.people())]

    def by_who(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return rows.filter(who="" if value == "-" else value)


class ArticleFinder(Finder):
    looks_in = ("number", "kind", "grade", "place__name")
    words = words("Number, kind or place")
    method = django_filters.ChoiceFilter(choices=Method.choices, empty_label="Any")
    gone = django_filters.ChoiceFilter(
        choices=[("no", "Here"), ("yes", "Gone")], method="by_gone", empty_label="Here and gone", label="Where"
    )

    def by_gone(self, rows: QuerySet[Any], _name: str, value: str) -> QuerySet[Any]:
        return rows.filter(gone_on__isnull=value == "no")
