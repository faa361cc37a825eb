"""Pages of areas from photos: choose the photo, tap on it, one saved area, taking it back."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils.functional import cached_property
from django.views.decorators.http import require_safe

from costing.make.readings.areas import selectors as areas_read, services as areas
from costing.make.readings.areas.forms import AreaForm, PhotoForm
from costing.make.readings.areas.models import PhotoArea
from costing.make.readings.areas.taps import KINDS, Figures
from inventory.errors import Refused
from inventory.models import Skin
from inventory.web.reversals import Reversal
from inventory.web.trail import page, to
from inventory.web.views import About


class AreaPhoto(About[Skin]):
    """The photo is kept first, so that nothing sends it twice and no refusal loses it."""

    model = Skin
    form_class = PhotoForm
    template_name = "costing/make/readings/areas/choose.html"
    title = "Area of {self.thing} from a photo"
    submit = "Go on to tap"
    made: str

    def enter(self, form: forms.Form) -> str:
        return areas.keep(photo=form.cleaned_data["photo"], by=self.request.user)

    def get_success_url(self) -> str:
        return reverse("skin_area_tap", args=[self.thing.tag, self.made])


class AreaTap(About[Skin]):
    """One form, three buttons: the outline laid to the edge and the figures are shown and not written; saving alone writes."""

    model = Skin
    form_class = AreaForm
    template_name = "costing/make/readings/areas/tap.html"
    title = "Tap the outline of {self.thing}"
    submit = "Save"
    success_message = "The area of {self.thing} is saved."
    found: Figures | None = None
    laid = False
    made: PhotoArea

    @property
    def photo(self) -> str:
        return str(self.kwargs["name"])

    @cached_property
    def size(self) -> tuple[int, int]:
        try:
            return areas.size(self.photo)
        except Refused:
            raise Http404 from None

    def get_initial(self) -> dict[str, Any]:
        return {"state": "wet" if areas_read.wet_still(self.thing) else "dry"}

    def form_valid(self, form: Any) -> HttpResponse:
        for button, answer in (("edge", self.lay), ("measure", self.tell)):
            if button in self.request.POST:
                try:
                    answer(form)
                except Refused as refusal:
                    self.point(form, refusal)
                return self.render_to_response(self.get_context_data(form=form))
        return super().form_valid(form)

    def point(self, form: forms.Form, refusal: Refused) -> None:
        scale = "apart" if form.cleaned_data.get("way") == "marks" else "width"
        self.called = {"holes": "defects", "frame": scale}
        super().point(form, refusal)

    def lay(self, form: AreaForm) -> None:
        ring = areas.laid(photo=self.photo, outline=form.cleaned_data["outline"], by=self.request.user)
        form.replace_outline(ring)
        self.laid = True

    def tell(self, form: AreaForm) -> None:
        self.found = areas.told(photo=self.photo, tapped=form.tapped(), by=self.request.user)

    def enter(self, form: AreaForm) -> PhotoArea:
        data = form.cleaned_data
        return areas.measure(
            skin=self.thing,
            photo=self.photo,
            tapped=form.tapped(),
            on=data["on"],
            wet=data["state"] == "wet",
            by=self.request.user,
            request_key=data["request_key"],
        )

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        form = context["form"]
        numbers = [form[name] for name in ("corners", "outline", "defects")]
        return {
            **context,
            "skin": self.thing,
            "photo": self.photo,
            "size": self.size,
            "drawn": form.drawn(),
            "kinds": KINDS.items(),
            "found": self.found,
            "laid": self.laid,
            "numbers": numbers,
            "numbers_wrong": any(box.errors for box in numbers),
        }


class AreaReversal(Reversal[PhotoArea]):
    asks = ()
    title = "Reverse this area?"
    lead = "It stays on its skin, struck out; what was written before it stands again."
    success_message = "The area is reversed."

    def things(self) -> QuerySet[PhotoArea]:
        return PhotoArea.objects.select_related("skin")

    def whose(self) -> Model:
        return self.thing.skin

    def enter(self, form: forms.Form) -> PhotoArea:
        return areas.reverse(area=self.thing, **self.sent(form))


@require_safe
def area(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(PhotoArea.objects.select_related("skin", "written_by", "reverser"), pk=pk)
    return page(
        request,
        "costing/make/readings/areas/area.html",
        f"Area of {row.skin} from a photo",
        to(row.skin),
        area=row,
        photo=row.photo,
        size=row.taps["size"],
        drawn=areas_read.drawn(row),
        defects=[(kind, KINDS[kind]) for kind in dict.fromkeys(each["kind"] for each in row.taps["defects"])],
    )
