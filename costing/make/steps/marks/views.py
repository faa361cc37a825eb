"""Pages of a batch's steps: its calendar, logging a step with its details, undoing an entry."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.additions import selectors as additions
from costing.make.batches.stays import selectors as stays
from costing.make.batches.stays.views import OfBatch
from costing.make.labour import selectors as labour
from costing.make.recipes.models import RecipeStep
from costing.make.steps import selectors as steps_read
from costing.make.steps.marks import services as marks
from costing.make.steps.marks.forms import StepForm
from costing.make.steps.models import StepMark
from inventory import formats
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from inventory.web.questions import Odd
from inventory.web.reversals import Reversal
from inventory.web.trail import Step, page, to
from inventory.web.views import back_to

SUBMIT = {"done": "Done", "skipped": "Skip it", "repeat": "Log it"}


@require_safe
def steps(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(stays.detailed().select_related("frames"), number=number)
    day = workshop.today()
    rows = steps_read.calendar(row, day)
    return page(
        request,
        "costing/make/steps/marks/steps.html",
        f"Steps of {row.number}",
        to(row),
        batch=row,
        day=day,
        rows=rows,
        cautions=[
            caution
            for step in (each.step for each in rows if each.now)
            for caution in steps_read.cautions_of(step, f"{step.does} {step.repeat}")
        ],
        may_log=may(request.user, Act.SHED),
    )


class StepLog(OfBatch):
    """A step of a batch done, skipped (`?kind=skipped`) or repeated (`?kind=repeat`); one tap on Today posts here too."""

    template_name = "costing/make/steps/marks/log.html"
    form_class = StepForm
    title = "{self.what}, {self.thing.number}"
    keeps = True
    made: StepMark

    @cached_property
    def step(self) -> RecipeStep:
        return get_object_or_404(RecipeStep, pk=self.kwargs["step"], version=self.thing.version_id)

    @cached_property
    def kind(self) -> str:
        sent = self.request.POST if self.request.method == "POST" else self.request.GET
        asked = sent.get("kind", StepMark.Kind.DONE)
        return asked if asked != StepMark.Kind.REPEAT or self.step.repeat else StepMark.Kind.DONE.value

    @property
    def what(self) -> str:
        if self.kind == StepMark.Kind.REPEAT:
            return self.step.repeat
        return f"Skip {self.step.name}" if self.kind == StepMark.Kind.SKIPPED else self.step.does

    def get_submit(self) -> str:
        return SUBMIT.get(self.kind, "Log it")

    def get_trail(self) -> tuple[Step, ...]:
        return to(self.thing, ("Steps", reverse("steps", args=[self.thing.number])))

    def form_options(self) -> dict[str, Any]:
        done = self.kind == StepMark.Kind.DONE
        absent = additions.missing(self.thing, self.step, workshop.today()) if done else []
        return {"kind": self.kind, "missing": additions.told(absent)}

    def get_initial(self) -> dict[str, Any]:
        return {
            "kind": self.kind,
            "minutes": steps_read.planned_minutes(self.thing, self.step, self.kind, workshop.today()) or None,
            "next": self.request.GET.get("next", ""),
        }

    def odd(self, form: forms.Form) -> Iterable[Odd]:
        if "minutes" in form.fields:
            planned = steps_read.planned_minutes(self.thing, self.step, self.kind, workshop.today())
            yield form["minutes"], labour.odd_minutes(form.cleaned_data["minutes"], planned)

    def enter(self, form: forms.Form) -> StepMark:
        found = self.sent(form)
        del found["next"]
        return marks.log(batch=self.thing, step=self.step, minutes=found.pop("minutes", None), **found)

    def get_success_url(self) -> str:
        return back_to(self.request, reverse("today"))

    def get_cancel_url(self) -> str:
        return back_to(self.request, reverse("steps", args=[self.thing.number]))

    def get_success_message(self) -> str:
        mark = self.made
        minutes = f", {formats.plain(mark.labour.minutes)} min" if mark.labour else ""
        return f"{self.what}, {self.thing.number}: logged for {formats.day(mark.on)}{minutes}."

    def undo_url(self) -> str:
        return reverse("mark_undo", args=[self.made.pk])

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(batch=self.thing, step=self.step, kind=self.kind, **more)


class MarkReversal(Reversal[StepMark]):
    """An entry that was not so."""

    template_name = "costing/make/steps/marks/sure.html"
    asks = ()
    title = "Reverse this entry?"
    success_message = "The entry is reversed."

    def things(self) -> QuerySet[StepMark]:
        return StepMark.objects.select_related("batch", "step", "labour")

    def whose(self) -> Model:
        return self.thing.batch

    def get_lead(self) -> str:
        mark = self.thing
        word = mark.step.repeat if mark.kind == StepMark.Kind.REPEAT else f"{mark.step.name}, {mark.kind}"
        minutes = f" Its {formats.plain(mark.labour.minutes)} min are reversed too." if mark.labour else ""
        return (
            f"{mark.batch.number}: {word} on {formats.day(mark.on)}. The entry stays to be seen, struck out.{minutes}"
        )

    def get_cancel_url(self) -> str:
        return back_to(self.request, reverse("steps", args=[self.thing.batch.number]))

    def enter(self, form: forms.Form) -> StepMark:
        return marks.reverse(mark=self.thing, **self.sent(form))


class MarkUndo(MarkReversal):
    """The same by one tap within ten seconds."""

    title = "Undo this entry?"
    submit = "Undo"
    success_message = "The entry is undone."

    def enter(self, form: forms.Form) -> StepMark:
        return marks.undo(mark=self.thing, by=self.request.user)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(otherwise=reverse("mark_reverse", args=[self.thing.pk]), **more)
