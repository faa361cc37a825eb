"""Pages of batches: the list, one with its story, planning, changing, dropping, skins in and out."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.batches import selectors as batches_read
from costing.make.batches import services as batches
from costing.make.batches.forms import BatchFinder, ChangeForm, PlanForm
from costing.make.batches.models import Batch
from costing.make.batches.requirements import selectors as requirements
from costing.make.batches.stays import selectors as stays_read
from costing.make.batches.stays import selectors as stays_selectors
from costing.make.batches.stays import services as stays_services
from costing.make.batches.stays.forms import JoinForm, LeaveForm
from costing.make.batches.tables import BatchTable
from costing.make.cost import selectors as cost_read
from costing.make.cost import selectors as costs
from costing.make.cost.breakdown import selectors as breakdown
from costing.make.cost.breakdown import selectors as breakdown_read
from costing.make.cost.rates import selectors as rates
from costing.make.readings import selectors as readings
from costing.make.recipes import selectors as recipes
from costing.make.steps.plans import selectors as plans_read
from costing.make.steps.plans import views as plans
from costing.make.steps.plans.rules import Clash
from inventory import money
from inventory.base import selectors as workshop
from inventory.models import Skin
from inventory.permits import Act, may
from inventory.web.forms import SureForm
from inventory.web.lists import SortedListPage as ListPage
from inventory.web.views import EntryView

SHARING = {
    Batch.ShareBy.HEAD: "in equal parts",
    Batch.ShareBy.WEIGHT: "by green weight: a skin twice as heavy bears twice as much",
    Batch.ShareBy.AREA: "by area: a skin twice as large bears twice as much",
}


class BatchList(ListPage):
    table_class = BatchTable
    finder_class = BatchFinder
    title = room = "Batches"
    new_name, new_label = "batch_new", "Plan a batch"
    links = (("Recipes", "recipes"), ("Work", "labour"), ("Plan ahead", "plan"))
    empty_title = "No batch yet"
    empty_text = (
        "A batch gathers skins that share a bath. Write the recipe first, take the skins in, then plan the batch: "
        "the shelf will say whether the materials last."
    )

    def rows(self) -> QuerySet[Batch]:
        return batches_read.listed()

    def prepare(self, table: Any) -> None:
        table.books = cost_read.books(table.shown())


@require_safe
def batch(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(stays_selectors.detailed(), number=number)
    stays = list(row.stays.all())
    cost = cost_read.of_batch(row)
    amounts = [(each, bool(each.short and each.waits(row.state))) for each in requirements.amounts(row)]
    return render(
        request,
        "costing/make/batches/batch.html",
        {
            "title": row.number,
            "room": "Batches",
            "trail": [("Batches", reverse("batches"))],
            "batch": row,
            "stays": _with_costs([stay.skin for stay in stays], stays),
            "there": [stay for stay in stays if stay.left_on is None],
            "amounts": amounts,
            "allows": requirements.shelf_allows(row.version),
            "hazards": recipes.hazards(list(row.version.lines.all())),
            "gas": any(meeting.facts for meeting in recipes.meetings(list(row.version.lines.all()))),
            "uses": breakdown.uses_of(row),
            "labour": breakdown.labour_of(row),
            "readings": readings.of_batch(row),
            "new_url": reverse("reading_new_batch", args=[row.number]),
            "cost": cost,
            "parts": breakdown_read.of(cost.share, cost.rates, cost.cost, _sources(len(stays))),
            "unshared": money.half_up(cost.unshared.full(cost.rates), workshop.places()),
            "sharing": SHARING[Batch.ShareBy(row.share_by)],
            "by_head": batches_read.shared_by_head(row),
            "may_finish": may(request.user, Act.PRICES),
            "clashes": _clashes(row),
        },
    )


def _clashes(row: Batch) -> list[tuple[Clash, str]]:
    """Where the tub or the frames of a batch that is not done are wanted by others too."""
    if row.state == Batch.State.DONE:
        return []
    found = [clash for clash in plans_read.clashes(workshop.today()) if row.number in clash.batches]
    return plans.told(found) if found else []


def _with_costs(members: list[Skin], stays: list[Any]) -> list[tuple[Any, Any]]:
    """Each stay with its skin's whole cost so far."""
    shares = costs.skin_shares(members)
    rate, places = rates.plain(), workshop.places()
    return [
        (stay, {"book": money.half_up(share.book(), places), "full": money.half_up(share.full(rate), places)})
        for stay in stays
        for share in [shares[stay.skin.tag]]
    ]


def _sources(heads: int) -> breakdown_read.Sources:
    return breakdown_read.Sources(
        skin=f"what {heads} skin{'' if heads == 1 else 's'} cost" if heads else "",
        materials="put in work, listed above",
        paid_help="",
    )


class _OfBatch(EntryView):
    """An entry on one batch."""

    room = "Batches"

    @cached_property
    def batch(self) -> Batch:
        return get_object_or_404(stays_selectors.detailed(), number=self.kwargs["number"])

    def cancel_url(self) -> str:
        return reverse("batch", args=[self.batch.number])

    done_url = cancel_url


class BatchNew(EntryView):
    form_class = PlanForm
    title = "Plan a batch"
    room = "Batches"
    lead = "Nothing leaves the shelf yet. The batch keeps the recipe version you choose."
    submit = "Plan it"
    cancel_name = "batches"
    made: Batch

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "skins": list(stays_read.free())}

    def get_initial(self) -> dict[str, Any]:
        asked = self.request.GET
        return {
            **super().get_initial(),
            "number": batches_read.next_number(),
            "start": asked.get("start") or workshop.today(),
            "version": asked.get("version"),
            "skins": asked.getlist("skin"),
        }

    def enter(self, form: forms.Form) -> Batch:
        found = form.cleaned_data
        return batches.plan(
            number=found["number"],
            version=found["version"],
            start=found["start"],
            litres=found["litres"],
            tags=found["skins"],
            planned_skins=found["planned_skins"] or 0,
            share_by=found["share_by"],
            place=found["place"],
            frames=found["frames"],
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return reverse("batch", args=[self.made.number])

    def said(self) -> str:
        return f"{self.made.number} is planned."


class BatchEdit(_OfBatch):
    form_class = ChangeForm

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the batch
        return f"Change the plan of {self.batch.number}"

    lead = "The recipe version and the sharing stay. What was put in stays too; take an entry back instead."

    def get_initial(self) -> dict[str, Any]:
        row = self.batch
        return {
            **super().get_initial(),
            "start": row.start,
            "litres": None if row.litres is None else row.litres / requirements.ML_PER_LITRE,
            "planned_skins": row.planned_skins or None,
            "place": row.place_id,
            "frames": row.frames_id,
            "note": row.note,
        }

    def enter(self, form: forms.Form) -> Batch:
        found = form.cleaned_data
        return batches.change(
            batch=self.batch,
            start=found["start"],
            litres=found["litres"],
            planned_skins=found["planned_skins"] or 0,
            place=found["place"],
            frames=found["frames"],
            note=found["note"],
            by=self.request.user,
        )


class BatchCancel(_OfBatch):
    form_class = SureForm
    danger = True
    submit = "Drop the plan"
    lead = "The plan goes and its skins are free again. A batch in which something happened cannot be dropped."

    @property
    def title(self) -> str:  # type: ignore[override]
        return f"Drop {self.batch.number}?"

    def enter(self, form: forms.Form) -> None:
        batches.cancel(batch=self.batch, by=self.request.user)

    def done_url(self) -> str:
        return reverse("batches")

    def said(self) -> str:
        return f"The plan {self.kwargs['number']} is dropped."


class BatchJoin(_OfBatch):
    form_class = JoinForm
    submit = "Put them in"

    @property
    def title(self) -> str:  # type: ignore[override]
        return f"Skins into {self.batch.number}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "skins": list(stays_read.free())}

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": max(workshop.today(), self.batch.start)}

    def enter(self, form: forms.Form) -> Batch:
        found = form.cleaned_data
        return stays_services.join(
            batch=self.batch,
            tags=found["skins"],
            on=found["on"],
            by=self.request.user,
            request_key=found["request_key"],
        )


class BatchLeave(_OfBatch):
    form_class = LeaveForm
    submit = "Take it out"
    lead = "For a skin that goes on alive, in another batch or by itself. A skin that slipped is lost instead: see its own page."

    @cached_property
    def skin(self) -> Skin:
        return get_object_or_404(Skin, tag=self.kwargs["tag"])

    @property
    def title(self) -> str:  # type: ignore[override]
        return f"Take {self.skin.tag} out of {self.batch.number}"

    def get_initial(self) -> dict[str, Any]:
        return {**super().get_initial(), "on": workshop.today()}

    def enter(self, form: forms.Form) -> object:
        found = form.cleaned_data
        return stays_services.leave(
            batch=self.batch,
            skin=self.skin,
            on=found["on"],
            by=self.request.user,
            request_key=found["request_key"],
        )
