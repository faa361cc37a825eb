"""Pages of recipes: the list, one with its versions, a new recipe, a new version."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.baths.chemistry.bath import SHED_CELSIUS
from costing.make.recipes import selectors as recipes_read, services as recipes
from costing.make.recipes.forms import (
    PERCENT,
    LineRows,
    RecipeFinder,
    RecipeForm,
    StepRows,
    VersionForm,
    ingredient_as_row,
    line_as_row,
    step_as_row,
    when,
)
from costing.make.recipes.models import Recipe, RecipeVersion
from costing.make.recipes.outlines.rules import Outline, outlines
from costing.make.recipes.rules import Span, spans
from costing.make.recipes.services import MOST_STEPS
from costing.make.recipes.tables import RecipeTable
from costing.make.steps import selectors as steps_read
from inventory.base import measures
from inventory.errors import Refused, in_row
from inventory.models import Material
from inventory.permits import Act
from inventory.web.forms import MORE, STEP, Rows, with_more
from inventory.web.lists import ListPage, part
from inventory.web.rows import RowsView
from inventory.web.trail import above, address, page
from inventory.web.views import About, back_to

STEPS = "steps"
# A sender that knows nothing of steps (a page opened long ago) sends none.
NO_STEPS = {f"{STEPS}-TOTAL_FORMS": "0", f"{STEPS}-INITIAL_FORMS": "0"}


class RecipeList(ListPage):
    table_class = RecipeTable
    finder_class = RecipeFinder
    rows = staticmethod(recipes_read.listed)
    title = "Recipes"
    trail = ("batches",)
    lead = "Your own amounts, in versions. A batch keeps the version that it was made by."
    action = ("Write a recipe", "recipe_new")
    links = ("recipe_outlines",)
    needs = Act.SHED
    empty_title = "No recipe yet"
    empty_text = (
        "Write down what you put in: a material, how much, and what the amount is for (so much bath, a skin, "
        "a share of the weight). The materials must be on the shelf first, if only with nothing in them. An outline brings "
        "the steps of common practice, and leaves the amounts to you."
    )


@require_safe
def recipe(request: HttpRequest, code: str) -> HttpResponse:
    row = get_object_or_404(recipes_read.detailed(), code=code)
    versions = list(row.versions.all())
    newest = versions[0] if versions else None
    lines = list(newest.lines.all()) if newest else []
    return page(
        request,
        "costing/make/recipes/recipe.html",
        row.code,
        above(row),
        recipe=row,
        newest=newest,
        groups=recipes_read.groups(lines),
        steps=list(newest.steps.all()) if newest else [],
        length=steps_read.length(newest.steps.all()) if newest else None,
        meetings=recipes_read.meetings(lines),
        shed=measures.warmth(SHED_CELSIUS),
        hazards=recipes_read.hazards(lines),
        older=[
            (version, recipes_read.groups(list(version.lines.all())), list(version.steps.all()))
            for version in versions[1:]
        ],
        batches=part(request, recipes_read.batches_by(row), "batches"),
    )


class _Write(RowsView):
    """What writing a recipe and its next version share: the rows of lines, then those of steps."""

    template_name = "costing/make/recipes/write.html"
    trail = ("batches", "recipes")
    rows_class = LineRows
    rows_title = "What goes in"
    submit = "Save recipe"
    cancel_page = "recipes"
    success_message = "{self.made} is saved."
    made: RecipeVersion

    @cached_property
    def materials(self) -> list[Material]:
        return list(Material.objects.order_by("name"))

    def row_options(self) -> dict[str, Any]:
        return {"materials": self.materials}

    def first_steps(self) -> list[dict[str, Any]]:
        """What the rows of steps hold when the page opens."""
        return []

    @cached_property
    def steps(self) -> Rows:
        sent = self.request.POST
        if self.request.method != "POST":
            given = self.first_steps()
            made = StepRows(initial=given, prefix=STEPS)
            made.extra = min(MOST_STEPS, made.extra + len(given))
            return made
        if MORE in sent:
            made = with_more(StepRows, sent, prefix=STEPS, form_kwargs={})
            made.extra -= 0 if sent[MORE] == STEPS else STEP
            return made
        return StepRows({**NO_STEPS, **sent.dict()}, prefix=STEPS)

    def again(self, data: QueryDict) -> HttpResponse:
        """More rows of the kind that was asked for; those of the other stay as many as they were."""
        answer = super().again(data)
        if data[MORE] == STEPS:
            self.rows.extra -= STEP
        return answer

    def others_are_valid(self) -> bool:
        return self.steps.is_valid()

    def complaints(self) -> list[str]:
        return super().complaints() + self.steps.complaints("Step")

    def as_steps(self) -> list[recipes.Step]:
        """The rows as the service wants them; a refusal is put beside the row it speaks of."""
        found = []
        for row in self.steps.filled():
            try:
                found.append(recipes.checked(recipes.Step(**row.cleaned_data)))
            except Refused as refusal:
                row.add_error(refusal.field if refusal.field in row.fields else None, str(refusal))
                # Without its field: the recipe's own name is called the same.
                raise Refused(str(refusal)) from None
        return found

    def get_context_data(self, **more_context: Any) -> dict[str, Any]:
        return super().get_context_data(steps=self.steps, **more_context)

    def written(self, form: forms.Form) -> dict[str, Any]:
        """What both forms ask, as the service takes it."""
        steps = self.as_steps()
        known = spans(steps)
        lines = []
        for number, row in enumerate(self.filled()):
            with in_row(number):
                lines.append(as_line(row, known))
        return {**self.sent(form), "lines": lines, "steps": steps}

    def get_success_url(self) -> str:
        return back_to(self.request, address(self.made.recipe))


class RecipeNew(_Write):
    """`?outline=` fills the rows from an outline of common practice; amounts are left to the maker."""

    title = "Write a recipe"
    lead = "Amounts are yours. Name the exact material: potash alum and aluminium sulphate are not the same by weight."
    form_class = RecipeForm
    template_name = "costing/make/recipes/new.html"

    @cached_property
    def outline(self) -> Outline | None:
        return outlines().get(self.request.GET.get("outline", ""))

    def get_initial(self) -> dict[str, Any]:
        return (
            {"code": self.outline.code, "name": self.outline.title, "method": self.outline.method}
            if self.outline
            else {}
        )

    def first_rows(self) -> list[dict[str, Any]]:
        return [ingredient_as_row(line, self.materials) for line in self.outline.lines] if self.outline else []

    def rows_of(self, data: QueryDict | None = None, **options: Any) -> Rows:
        made = super().rows_of(data, **options)
        made.extra = 0 if self.outline and data is None else made.extra
        return made

    def first_steps(self) -> list[dict[str, Any]]:
        return [dict(step) for step in self.outline.steps] if self.outline else []

    def get_success_message(self) -> str:
        """Names what an outline asked for and the maker left out."""
        rows = (row for row in self.rows.forms if not row.has_changed())
        left_out = dict.fromkeys(wanted for row in rows if (wanted := row["wanted"].value()))
        return super().get_success_message() + (f" Left out: {', '.join(left_out)}." if left_out else "")

    def get_context_data(self, **more_context: Any) -> dict[str, Any]:
        wanted = self.outline.missing(self.materials) if self.outline else []
        missing = [replace(line, unit=measures.spoken(line.unit)) for line in wanted]
        return super().get_context_data(outline=self.outline, missing=missing, **more_context)

    def enter(self, form: forms.Form) -> RecipeVersion:
        return recipes.write(number=1, **self.written(form))


class RecipeVersionNew(_Write, About[Recipe]):
    things = staticmethod(recipes_read.detailed)
    form_class = VersionForm
    title = "{self.thing.code}: next version"
    lead = "Batches begun by an earlier version keep it. Change what you do differently from now on."

    @cached_property
    def last(self) -> RecipeVersion | None:
        return next(iter(self.thing.versions.all()), None)

    def get_initial(self) -> dict[str, Any]:
        each = self.last.litres_per_skin if self.last else None
        return {"name": self.thing.name, "litres_per_skin": None if each is None else each / 1000}

    def first_rows(self) -> list[dict[str, Any]]:
        return [line_as_row(line) for line in self.last.lines.all()] if self.last else []

    def first_steps(self) -> list[dict[str, Any]]:
        return [step_as_row(step) for step in self.last.steps.all()] if self.last else []

    def enter(self, form: forms.Form) -> RecipeVersion:
        return recipes.write(code=self.thing.code, method=self.thing.method, **self.written(form))


def as_line(row: dict[str, Any], known: Mapping[str, Span]) -> recipes.Line:
    """A row as the service wants it; without a unit it is the material's own, or % for percent of weight."""
    step, day = when(row, known)
    unit = row["unit"] or ("%" if row["basis"] == PERCENT else row["material"].unit)
    return recipes.Line(row["material"], row["amount"], unit, row["basis"], step, day, row["how"])
