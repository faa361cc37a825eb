"""Pages of recipes: the list, one with its versions, a new recipe, a new version."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.forms.finders import RecipeFinder
from costing.forms.recipes import PERCENT, LineRows, RecipeForm, VersionForm
from costing.models import Recipe, RecipeLine, RecipeVersion
from costing.selectors import recipes as read
from costing.services import recipes
from costing.tables.recipes import RecipeTable
from costing.views.lists import ListPage
from costing.views.rows import RowsView
from inventory.models import Material


class RecipeList(ListPage):
    table_class = RecipeTable
    finder_class = RecipeFinder
    title = "Recipes"
    room = "Batches"
    lead = "Your own amounts, in versions. A batch keeps the version that it was made by."
    links = (("Batches", "batches"),)
    new_name, new_label = "recipe_new", "Write a recipe"
    empty_title = "No recipe yet"
    empty_text = (
        "Write down what you put in: a material, how much, and what the amount is for (a litre of bath, a skin, "
        "a share of the weight). The materials must stand on the shelf first, if only with nothing in them."
    )

    def rows(self) -> QuerySet[Recipe]:
        return read.listed()


@require_safe
def recipe(request: HttpRequest, code: str) -> HttpResponse:
    row = get_object_or_404(read.detailed(), code=code)
    versions = list(row.versions.all())
    newest = versions[0] if versions else None
    lines = list(newest.lines.all()) if newest else []
    return render(
        request,
        "costing/recipes/recipe.html",
        {
            "title": row.code,
            "room": "Batches",
            "trail": [("Recipes", reverse("recipes"))],
            "recipe": row,
            "newest": newest,
            "groups": read.groups(lines),
            "meetings": read.meetings(lines),
            "hazards": read.hazards(lines),
            "older": [(version, read.groups(list(version.lines.all()))) for version in versions[1:]],
            "batches": [(batch, version.number) for version in versions for batch in version.batches.all()],
        },
    )


class _Write(RowsView):
    """What writing a recipe and its next version share: the rows of lines."""

    room = "Batches"
    rows_class = LineRows
    rows_title = "What goes in"
    submit = "Write it down"
    cancel_name = "recipes"
    made: RecipeVersion

    @cached_property
    def materials(self) -> list[Material]:
        return list(Material.objects.order_by("name"))

    def row_options(self) -> dict[str, Any]:
        return {"materials": self.materials}

    def done_url(self) -> str:
        return reverse("recipe", args=[self.made.recipe.code])

    def said(self) -> str:
        return f"{self.made.recipe.code} version {self.made.number} is written down."


class RecipeNew(_Write):
    title = "Write a recipe"
    lead = "Amounts are yours. Name the exact material: potash alum and aluminium sulphate are not the same by weight."
    form_class = RecipeForm

    def enter_rows(self, form: forms.Form, rows: list[dict[str, Any]]) -> RecipeVersion:
        found = form.cleaned_data
        return recipes.write(
            code=found["code"],
            method=found["method"],
            name=found["name"],
            number=1,
            litres_per_skin=found["litres_per_skin"],
            note=found["note"],
            lines=as_lines(rows),
            by=self.request.user,
            request_key=found["request_key"],
        )


class RecipeVersionNew(_Write):
    form_class = VersionForm
    lead = "Batches begun by an earlier version keep it. Change what you do differently from now on."

    @cached_property
    def recipe(self) -> Recipe:
        return get_object_or_404(read.detailed(), code=self.kwargs["code"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the recipe
        return f"{self.recipe.code}: next version"

    @cached_property
    def last(self) -> RecipeVersion | None:
        return next(iter(self.recipe.versions.all()), None)

    def get_initial(self) -> dict[str, Any]:
        each = self.last.litres_per_skin if self.last else None
        return {
            **super().get_initial(),
            "name": self.recipe.name,
            "litres_per_skin": None if each is None else each / 1000,
        }

    def first_rows(self) -> list[dict[str, Any]]:
        return [as_row(line) for line in self.last.lines.all()] if self.last else []

    def cancel_url(self) -> str:
        return reverse("recipe", args=[self.recipe.code])

    def enter_rows(self, form: forms.Form, rows: list[dict[str, Any]]) -> RecipeVersion:
        found = form.cleaned_data
        return recipes.write(
            code=self.recipe.code,
            method=self.recipe.method,
            name=found["name"],
            litres_per_skin=found["litres_per_skin"],
            note=found["note"],
            lines=as_lines(rows),
            by=self.request.user,
            request_key=found["request_key"],
        )


def as_lines(rows: Sequence[dict[str, Any]]) -> list[recipes.Line]:
    """Rows as the service wants them; without a unit it is the material's own, or % for percent of weight."""
    return [
        recipes.Line(
            row["material"],
            row["amount"],
            row["unit"] or ("%" if row["basis"] == PERCENT else row["material"].unit),
            row["basis"],
            step=row["step"],
            day=row["day"] or 0,
        )
        for row in rows
    ]


def as_row(line: RecipeLine) -> dict[str, Any]:
    amount, unit = read.typed(line)
    return {
        "material": line.material,
        "amount": amount,
        "unit": "" if unit == "%" else unit,
        "basis": line.basis,
        "step": line.step,
        "day": line.day,
    }
