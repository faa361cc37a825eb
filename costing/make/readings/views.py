"""Pages of readings: note one of a batch or a skin, undo it, and the photos themselves."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.batches.models import Batch
from costing.make.readings import selectors as readings_read, services as readings
from costing.make.readings.forms import ReadingForm, SheetForm, SheetRows
from costing.make.readings.models import Reading
from inventory.base import measures
from inventory.models import Skin
from inventory.units import to_base
from inventory.web.questions import Odd
from inventory.web.reversals import Reversal
from inventory.web.rows import RowsView
from inventory.web.trail import address
from inventory.web.views import About, M


class _ReadingNew(About[M]):
    form_class = ReadingForm
    template_name = "costing/make/readings/new.html"
    title = "Read or note {self.thing}"
    submit = "Save reading"
    success_message = "The reading is saved."
    keeps = True
    made: Reading

    def note(self, form: Any, **of: Any) -> Reading:
        return readings.note(**of, **form.measured(), by=self.request.user)


class ReadingNewBatch(_ReadingNew[Batch]):
    model = Batch
    words_of = "ph celsius note"

    def form_options(self) -> dict[str, Any]:
        return {"weighed": False}

    def enter(self, form: forms.Form) -> Reading:
        return self.note(form, batch=self.thing)


class ReadingNewSkin(_ReadingNew[Skin]):
    model = Skin
    words_of = "weight weight_unit ph celsius note"

    def odd(self, form: Any) -> Iterable[Odd]:
        grams, unit = form.measured()["weight"], form.cleaned_data["weight_unit"] or measures.weight_unit()
        if grams is not None and grams > 0:
            yield form["weight"], readings_read.odd_weighings({self.thing: grams}, unit)[self.thing]

    def enter(self, form: forms.Form) -> Reading:
        return self.note(form, tags=[self.thing.tag])


class BatchWeigh(RowsView, About[Batch]):
    """The skins of a batch on one sheet, one box each."""

    model = Batch
    form_class = SheetForm
    rows_class = SheetRows
    template_name = "costing/make/readings/sheet.html"
    title = "Weigh the skins of {self.thing}"
    submit = "Save weights"
    row_word = "Skin"
    keeps = True
    made: Reading

    @cached_property
    def there(self) -> dict[str, tuple[Skin, str]]:
        return readings_read.sheet(self.thing)

    def first_rows(self) -> Sequence[dict[str, Any]]:
        return [{"tag": tag} for tag in self.there]

    def row_options(self) -> dict[str, Any]:
        return {"known": {tag: words for tag, (_, words) in self.there.items()}}

    def unit(self, form: Any) -> str:
        return str(form.cleaned_data["weight_unit"] or measures.weight_unit())

    def weights(self, form: Any) -> list[tuple[str, Decimal]]:
        """By tag, in grams."""
        return [(row["tag"], to_base(row["weight"], self.unit(form), "g")) for row in self.filled()]

    def complaints(self) -> list[str]:
        boxes = (row["weight"] for row in self.rows.forms)
        return [f"{box.label}: {error}" for box in boxes for error in box.errors]

    def odd(self, form: Any) -> Iterable[Odd]:
        boxes = {row.cleaned_data["tag"]: row["weight"] for row in self.rows.filled()}
        known = {self.there[tag][0]: grams for tag, grams in self.weights(form) if tag in self.there and grams > 0}
        for skin, words in readings_read.odd_weighings(known, self.unit(form)).items():
            yield boxes[skin.tag], words

    def enter(self, form: Any) -> Reading:
        key, tap = form.cleaned_data["request_key"], form.cleaned_data["tap"]
        return readings.weigh(weights=self.weights(form), at=tap, by=self.request.user, request_key=key)

    def get_success_message(self) -> str:
        count = len(self.filled())
        return f"{count} skin{'' if count == 1 else 's'} of {self.thing} {'is' if count == 1 else 'are'} weighed."

    def get_success_url(self) -> str:
        return f"{address(self.thing)}#drying"


class ReadingReversal(Reversal[Reading]):
    template_name = "costing/make/readings/reverse.html"
    asks = ()
    title = "Reverse this reading?"
    lead = "It stays on its row, struck out, and counts no more."
    success_message = "The reading is reversed."

    def things(self) -> QuerySet[Reading]:
        return Reading.objects.select_related("batch", "skin")

    def whose(self) -> Model | None:
        return self.thing.skin or self.thing.batch

    def enter(self, form: forms.Form) -> Reading:
        return readings.reverse(reading=self.thing, **self.sent(form))

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        return super().get_context_data(reading=self.thing, **more)


@require_safe
def photo(request: HttpRequest, name: str) -> HttpResponse:
    """A kept photo, to those who are signed in; like every answer, kept by no browser."""
    try:
        content = readings.path(name).read_bytes()
    except FileNotFoundError:
        raise Http404 from None
    return HttpResponse(content, content_type="image/jpeg", headers={"X-Content-Type-Options": "nosniff"})
