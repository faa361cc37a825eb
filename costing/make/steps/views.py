"""Pages of a batch's steps: its calendar, logging a step with its details, undoing and taking back an entry."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.batches.models import Batch
from costing.make.batches.stays import selectors as stays
from costing.make.baths.chemistry import cautions
from costing.make.recipes.models import RecipeStep
from costing.make.steps import selectors as steps_read
from costing.make.steps import services as steps_services
from costing.make.steps.forms import StepForm
from costing.make.steps.models import StepMark
from inventory.base import selectors as workshop
from inventory.permits import Act, may
from inventory.web.forms import SureForm
from inventory.web.views import EntryView, back_to

SUBMIT = {"done": "Done", "skipped": "Skip it", "repeat": "Log it"}


@require_safe
def steps(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(stays.detailed().select_related("frames"), number=number)
    day = workshop.today()
    rows = steps_read.calendar(row, day)
    return render(
        request,
        "costing/make/steps/steps.html",
        {
            "title": f"Steps of {row.number}",
            "room": "Batches",
            "trail": [("Batches", reverse("batches")), (row.number, reverse("batch", args=[row.number]))],
            "batch": row,
            "day": day,
            "rows": rows,
            "cautions": [told for each in rows if each.now for told in _cautions(each.step)],
            "may_log": may(request.user, Act.SHED),
        },
    )


def _cautions(step: RecipeStep) -> list[tuple[str, str]]:
    """Beside the step that is next: the recipe's own words, then the usual ones."""
    own = [("From the recipe", step.caution)] if step.caution else []
    usual = cautions.for_step(f"{step.name} {step.does} {step.repeat}")
    return own + [(caution.title, caution.said) for caution in usual]


class StepLog(EntryView):
    """A step of a batch done, skipped (`?kind=skipped`) or repeated (`?kind=repeat`); one tap on Today posts here too."""

    template_name = "costing/make/steps/log.html"
    form_class = StepForm
    room = "Batches"
    keeps = True
    made: StepMark

    @cached_property
    def batch(self) -> Batch:
        return get_object_or_404(stays.detailed(), number=self.kwargs["number"])

    @cached_property
    def step(self) -> RecipeStep:
        return get_object_or_404(RecipeStep, pk=self.kwargs["step"], version=self.batch.version_id)

    @cached_property
    def kind(self) -> str:
        sent = self.request.POST if self.request.method == "POST" else self.request.GET
        asked = sent.get("kind", StepMark.Kind.DONE)
        return asked if asked != StepMark.Kind.REPEAT or self.step.repeat else StepMark.Kind.DONE.value

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names what is logged
        return f"{self._what()}, {self.batch.number}"

    @property
    def submit(self) -> str:  # type: ignore[override]
        return SUBMIT.get(self.kind, "Log it")

    def _what(self) -> str:
        if self.kind == StepMark.Kind.REPEAT:
            return self.step.repeat
        return f"Skip {self.step.name}" if self.kind == StepMark.Kind.SKIPPED else self.step.does

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "kind": self.kind}

    def get_initial(self) -> dict[str, Any]:
        return {
            **super().get_initial(),
            "kind": self.kind,
            "on": workshop.today(),
            "minutes": self._planned() or None,
            "next": self.request.GET.get("next", ""),
        }

    def _planned(self) -> Decimal:
        if steps_read.timed([self.batch]):
            return Decimal(0)
        if self.kind == StepMark.Kind.REPEAT:
            return Decimal(self.step.repeat_minutes)
        heads = steps_read.heads_of(self.batch, self.batch.stays.all(), workshop.today())
        return Decimal(self.step.minutes + self.step.minutes_per_skin * heads)

    def enter(self, form: forms.Form) -> StepMark:
        found = form.cleaned_data
        return steps_services.log(
            batch=self.batch,
            step=self.step,
            kind=found["kind"],
            on=found["on"],
            at=found["at"],
            minutes=found.get("minutes"),
            note=found["note"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    def done_url(self) -> str:
        return back_to(self.request, reverse("today"))

    def cancel_url(self) -> str:
        return back_to(self.request, reverse("steps", args=[self.batch.number]))

    def said(self) -> str:
        mark = self.made
        minutes = f", {mark.labour.minutes.normalize():f} min" if mark.labour else ""
        return f"{self._what()}, {self.batch.number}: logged for {mark.on.day} {mark.on:%b %Y}{minutes}."

    def undo_url(self) -> str:
        return reverse("mark_undo", args=[self.made.pk])

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        trail = [(self.batch.number, reverse("batch", args=[self.batch.number]))]
        trail.append(("Steps", reverse("steps", args=[self.batch.number])))
        return super().get_context_data(trail=trail, batch=self.batch, step=self.step, kind=self.kind, **more)


class _OfMark(EntryView):
    """Something done with one entry. The form asks nothing."""

    template_name = "costing/make/steps/sure.html"
    form_class = SureForm
    room = "Batches"
    danger = True
    done_message = "Taken back."

    @cached_property
    def mark(self) -> StepMark:
        return get_object_or_404(StepMark.objects.select_related("batch", "step", "labour"), pk=self.kwargs["pk"])

    @property
    def lead(self) -> str:  # type: ignore[override]  # here it names the entry
        mark = self.mark
        word = mark.step.repeat if mark.kind == StepMark.Kind.REPEAT else f"{mark.step.name}, {mark.kind}"
        minutes = f" Its {mark.labour.minutes.normalize():f} min are taken back too." if mark.labour else ""
        return f"{mark.batch.number}: {word} on {mark.on.day} {mark.on:%b %Y}. The entry stays to be seen, struck out.{minutes}"

    def cancel_url(self) -> str:
        return back_to(self.request, reverse("steps", args=[self.mark.batch.number]))

    done_url = cancel_url


class MarkTakeBack(_OfMark):
    title = "Take this entry back?"
    submit = "Take it back"

    def enter(self, form: forms.Form) -> StepMark:
        return steps_services.take_back(
            mark=self.mark, by=self.request.user, request_key=form.cleaned_data["request_key"]
        )


class MarkUndo(_OfMark):
    title = "Undo this entry?"
    submit = "Undo"

    def enter(self, form: forms.Form) -> StepMark:
        return steps_services.undo(mark=self.mark, by=self.request.user)

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(otherwise=reverse("mark_take_back", args=[self.mark.pk]), **more)
