"""Pages of batches: the list, one with its story, planning, changing, deleting the plan, skins in and out."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_safe

from costing.make.additions import selectors as additions
from costing.make.batches import selectors as batches_read, services as batches
from costing.make.batches.forms import BatchFinder, ChangeForm, PlanForm
from costing.make.batches.models import Batch
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.stays import selectors as stays_read
from costing.make.batches.stays.views import OfBatch
from costing.make.batches.tables import BatchTable
from costing.make.cost import selectors as cost_read
from costing.make.cost.breakdown import selectors as breakdown
from costing.make.readings import selectors as readings
from costing.make.recipes import selectors as recipes
from costing.make.steps import selectors as steps
from costing.make.steps.plans import selectors as plans
from inventory import money
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from inventory.web.lists import ListPage
from inventory.web.trail import above, page
from inventory.web.views import EntryView

SHARING = {
    Batch.ShareBy.HEAD: "in equal parts",
    Batch.ShareBy.WEIGHT: "by green weight: a skin twice as heavy is allocated twice as much",
    Batch.ShareBy.AREA: "by area: a skin twice as large is allocated twice as much",
}


class BatchList(ListPage):
    table_class = BatchTable
    finder_class = BatchFinder
    rows = staticmethod(batches_read.listed)
    title = "Batches"
    action = ("Plan a batch", "batch_new")
    needs = Act.SHED
    links = ("recipes", "labour", "plan", "frames")
    empty_title = "No batch yet"
    empty_text = (
        "A batch gathers skins that share a bath. Write the recipe first, add the skins, then plan the batch: "
        "the shelf will say whether the materials last."
    )

    def prepare(self, table: Any) -> None:
        table.books = cost_read.books(table.shown())


@require_safe
def batch(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(stays_read.detailed(), number=number)
    members = list(row.stays.all())
    uses, labour = breakdown.uses_of(row), breakdown.labour_of(row)
    cost = cost_read.of_batch(row, breakdown.lines_of(uses, labour))
    lines = list(row.version.lines.all())
    account = requirements.account(row)
    day = workshop.today()
    rows = steps.calendar(row, day)
    return page(
        request,
        "costing/make/batches/batch.html",
        row.number,
        above(row),
        batch=row,
        stays=cost_read.with_costs(members),
        struck=batches_read.struck(row),
        there=[stay for stay in members if stay.left_on is None],
        rows=rows,
        now=next((each for each in rows if each.now), None),
        amounts=additions.rows(row, account.amounts),
        ready=additions.ready(account.amounts, day),
        besides=requirements.besides(account, (entry.material for use in uses for entry, *_ in use.rows)),
        skipped=batches_read.skipped(row),
        may_log=may(request.user, Act.SHED),
        allows=requirements.shelf_allows(row.version, lines),
        hazards=recipes.hazards(lines),
        gas=bool(recipes.meetings(lines)),
        uses=uses,
        labour=labour,
        readings=readings.listed(batch=row),
        new_url=reverse("reading_new_batch", args=[row.number]),
        cost=cost,
        parts=breakdown.of(cost.share, cost.rates, cost.cost, breakdown.sources_of_batch(len(members))),
        unshared=money.half_up(cost.unshared.full(cost.rates), workshop.places()),
        sharing=SHARING[Batch.ShareBy(row.share_by)],
        by_head=batches_read.shared_by_head(row),
        may_finish=may(request.user, Act.PRICES),
        clashes=plans.clashes_of(row, day),
    )


class BatchNew(EntryView):
    form_class = PlanForm
    title = "Plan a batch"
    trail = ("batches",)
    lead = "Nothing leaves the shelf yet. The batch keeps the recipe version you choose."
    submit = "Plan it"
    cancel_page = "batches"
    opens_made = True
    success_message = "{self.made.number} is planned."

    def form_options(self) -> dict[str, Any]:
        return {"skins": list(stays_read.free())}

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET
        return {
            "number": batches_read.next_number(),
            "start": asked.get("start") or workshop.today(),
            "version": asked.get("version"),
            "skins": asked.getlist("skin"),
        }

    def enter(self, form: forms.Form) -> Batch:
        found = self.sent(form)
        del found["litres_per_skin"]
        return batches.plan(tags=found.pop("skins"), **found)


class BatchEdit(OfBatch):
    form_class = ChangeForm
    title = "Change the plan of {self.thing.number}"
    lead = "The recipe version and the sharing stay. What was added stays too; reverse an entry instead."
    prefilled = ("start", "place", "frames", "note")

    def get_initial(self) -> dict[str, Any]:
        row = self.thing
        litres = None if row.litres is None else row.litres / requirements.ML_PER_LITRE
        return {**super().get_initial(), "litres": litres, "planned_skins": row.planned_skins or None}

    def enter(self, form: forms.Form) -> Batch:
        return batches.change(batch=self.thing, **self.given(form))


class BatchCancel(OfBatch):
    title = "Delete the plan of {self.thing.number}?"
    danger = True
    submit = "Delete plan"
    lead = (
        "The plan goes and its skins are free again. The plan of a batch in which something happened cannot be deleted."
    )
    success_message = "The plan {self.kwargs[number]} is deleted."

    def enter(self, form: forms.Form) -> None:
        batches.cancel(batch=self.thing, by=self.request.user)

    def get_success_url(self) -> str:
        return reverse("batches")
