"""Pages of readings: note one of a batch or a skin, take it back, and the photos themselves."""

from __future__ import annotations

from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.batches.models import Batch
from costing.make.readings import services as readings
from costing.make.readings import services as readings_services
from costing.make.readings.forms import ReadingForm
from costing.make.readings.models import Reading
from inventory.models import Skin
from inventory.web.forms import SureForm
from inventory.web.views import EntryView


class _ReadingNew(EntryView):
    form_class = ReadingForm
    template_name = "costing/make/readings/new.html"
    submit = "Keep it"
    keeps = True
    made: Reading

    def note(self, form: Any, **of: Any) -> Reading:
        found = form.cleaned_data
        return readings_services.note(
            **of,
            at=form.moment(),
            ph=found["ph"],
            celsius=found["celsius"],
            weight=form.grams(),
            note=found["note"],
            photo=found["photo"],
            by=self.request.user,
            request_key=found["request_key"],
        )

    done_message = "The reading is kept."


class ReadingNewBatch(_ReadingNew):
    room = "Batches"
    words_of = "ph celsius note"

    @cached_property
    def batch(self) -> Batch:
        return get_object_or_404(Batch, number=self.kwargs["number"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the batch
        return f"Read or note {self.batch.number}"

    def get_form_kwargs(self) -> dict[str, Any]:
        return {**super().get_form_kwargs(), "weighed": False}

    def enter(self, form: forms.Form) -> Reading:
        return self.note(form, batch=self.batch)

    def done_url(self) -> str:
        return reverse("batch", args=[self.batch.number])

    cancel_url = done_url


class ReadingNewSkin(_ReadingNew):
    room = "Skins"
    words_of = "weight weight_unit ph celsius note"

    @cached_property
    def skin(self) -> Skin:
        return get_object_or_404(Skin, tag=self.kwargs["tag"])

    @property
    def title(self) -> str:  # type: ignore[override]  # here it names the skin
        return f"Read or note {self.skin.tag}"

    def enter(self, form: forms.Form) -> Reading:
        return self.note(form, tags=[self.skin.tag])

    def done_url(self) -> str:
        return reverse("skin", args=[self.skin.tag])

    cancel_url = done_url


class ReadingTakeBack(EntryView):
    form_class = SureForm
    template_name = "costing/make/readings/reverse.html"
    title = "Take this reading back?"
    submit = "Take it back"
    danger = True
    lead = "It stays on its row, struck out, and counts no more."
    done_message = "Taken back."

    @cached_property
    def reading(self) -> Reading:
        return get_object_or_404(Reading.objects.select_related("batch", "skin"), pk=self.kwargs["pk"])

    @property
    def room(self) -> str:  # type: ignore[override]  # the room of what was read
        return "Skins" if self.reading.skin else "Batches"

    def enter(self, form: forms.Form) -> Reading:
        key = form.cleaned_data["request_key"]
        return readings_services.take_back(reading=self.reading, by=self.request.user, request_key=key)

    def done_url(self) -> str:
        if self.reading.skin:
            return reverse("skin", args=[self.reading.skin.tag])
        return reverse("batch", args=[self.reading.batch.number])  # type: ignore[union-attr]  # it is of one or the other

    cancel_url = done_url

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(**more, reading=self.reading)


@require_safe
def photo(request: HttpRequest, name: str) -> HttpResponse:
    """A kept photo, to those who are signed in. Named by its content, so a browser may keep it for good, but no shared cache."""
    try:
        content = readings.path(name).read_bytes()
    except FileNotFoundError:
        raise Http404 from None
    kept = {"Cache-Control": "private, max-age=31536000, immutable", "X-Content-Type-Options": "nosniff"}
    return HttpResponse(content, content_type="image/jpeg", headers=kept)
