"""The maker's own sheets of labels in Setup: the list, one as it is measured, and what the printer misses by."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_safe

from inventory.base import selectors as workshop
from inventory.base.labels import rules, selectors as sheets_read, services as sheets
from inventory.base.labels.lengths import Ruler
from inventory.base.labels.models import LabelSheet
from inventory.base.labels.rules import COMMON, Sheet
from inventory.base.labels.services import ChangedMeanwhile
from inventory.errors import Refused
from inventory.permits import Act, require
from inventory.web.trail import page
from inventory.web.views import About, EntryView
from workshop.documents.charts import on_pages
from workshop.setup.label_sheets.forms import CalibrationForm, LabelSheetEditForm, LabelSheetForm

_FIGURES = tuple(Sheet.__dataclass_fields__)
MINE = "{}, my printer"


@require_safe
def label_sheets(request: HttpRequest) -> HttpResponse:
    """The maker's own sheets, and the common ones that one can be begun from."""
    require(request.user, Act.SETUP)
    return page(
        request,
        "workshop/setup/label_sheets/list.html",
        "Label sheets",
        ("setup",),
        rows=[{"row": row, "size": _size(row.sheet), "offset": _offset(row.sheet)} for row in sheets_read.rows()],
        common=[(name, sheet, _size(sheet)) for name, sheet in sheets_read.common()],
    )


@require_safe
def calibration_page(request: HttpRequest, pk: int) -> HttpResponse:
    """The outlines of a sheet as PDF, with its offset as it is kept now."""
    from workshop.documents import labelling  # brings in the drawing library

    require(request.user, Act.SETUP)
    row = get_object_or_404(LabelSheet, pk=pk)
    answer = HttpResponse(labelling.calibration(row.sheet), content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="calibration-{pk}.pdf"'
    # Printed once more after the offset was changed, an old page would show the miss that is put right already.
    answer["Cache-Control"] = "private, no-store"
    return answer


class _OfSheets(EntryView):
    trail = ("setup", "label_sheets")
    needs = Act.SETUP
    cancel_page = "label_sheets"


class _Described(_OfSheets):
    """How a sheet is; the second button draws what is typed and keeps nothing."""

    template_name = "workshop/setup/label_sheets/sheet.html"
    lead = "Measure with a ruler on the sheet itself, in {self.ruler.name}. What is not there is 0."

    @property
    def ruler(self) -> Ruler:
        return sheets_read.ruler()

    def post(self, request: HttpRequest, *args: Any, **options: Any) -> HttpResponse:
        if "draw" not in request.POST:
            return super().post(request, *args, **options)
        form = self.get_form()
        if form.is_valid():
            try:
                rules.checked(self.typed(form), self.ruler)
            except Refused as refusal:
                self.point(form, refusal)
        return self.render_to_response(self.get_context_data(form=form))

    def typed(self, form: Any) -> Sheet:
        return Sheet(**{name: form.cleaned_data[name] for name in _FIGURES})

    def drawn(self, form: Any) -> Sheet | None:
        """The sheet as it stands in the form, if it is one."""
        if not form.is_bound:
            return self.opened()
        if not all(name in form.cleaned_data for name in _FIGURES):
            return None
        try:
            return rules.checked(self.typed(form), self.ruler)
        except Refused:
            return None

    def opened(self) -> Sheet | None:
        """The sheet as the page opens with it."""
        return None

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        context = super().get_context_data(**more)
        sheet = self.drawn(context["form"])
        drawing = on_pages.label_sheet(sheet, self.ruler) if sheet else ""
        return {**context, "drawing": drawing, "offset": _offset(sheet) if sheet else ""}


class LabelSheetNew(_Described):
    """`?from=3 × 7 on A4` begins with a common sheet."""

    form_class = LabelSheetForm
    title = "A label sheet"
    submit = "Add sheet"
    success_message = "{self.made.name} is kept. Print its calibration page to see how your printer hits it."

    def opened(self) -> Sheet | None:
        return COMMON.get(self.request.GET.get("from", ""))

    def get_initial(self) -> dict[str, Any]:
        sheet = self.opened()
        if sheet is None:
            return {"paper": workshop.current().paper}
        return {"name": MINE.format(self.request.GET["from"]), **{name: getattr(sheet, name) for name in _FIGURES}}

    def enter(self, form: LabelSheetForm) -> LabelSheet:
        return sheets.create(**self.sent(form))


class _OfOne(_OfSheets, About[LabelSheet]):
    """An entry about one sheet. Who sends it when the sheet is gone is told so beside those that are there."""

    model = LabelSheet

    def dispatch(self, request: HttpRequest, *args: Any, **options: Any) -> HttpResponseBase:
        require(request.user, Act.SETUP)
        if request.method == "POST" and not self.things().filter(pk=self.kwargs["pk"]).exists():
            messages.warning(request, "That sheet is gone: somebody deleted it. Nothing was changed.")
            return redirect("label_sheets")
        return super().dispatch(request, *args, **options)


class LabelSheetEdit(_Described, _OfOne):
    form_class = LabelSheetEditForm
    title = "{self.thing.name}"
    prefilled = ("name", *_FIGURES, "seen")
    success_message = "{self.made.name} is changed. Labels are printed so from now on."

    def opened(self) -> Sheet | None:
        return self.thing.sheet

    def enter(self, form: LabelSheetEditForm) -> LabelSheet:
        return sheets.change(sheet=self.thing, **self.given(form))

    def point(self, form: Any, refusal: Refused) -> None:
        """Told what stands there now, who saves once more means it."""
        if isinstance(refusal, ChangedMeanwhile):
            form.data = {**form.data.dict(), "seen": self.thing.seen}
        super().point(form, refusal)


class LabelSheetCalibrate(_OfOne):
    form_class = CalibrationForm
    template_name = "workshop/setup/label_sheets/calibrate.html"
    title = "Calibrate {self.thing.name}"
    submit = "Keep the offset"
    prefilled = ("seen",)

    def enter(self, form: CalibrationForm) -> LabelSheet:
        return sheets.calibrate(sheet=self.thing, **self.sent(form))

    def point(self, form: Any, refusal: Refused) -> None:
        """What was measured of another page is not offered to be sent once more."""
        if isinstance(refusal, ChangedMeanwhile):
            form.data = {**form.data.dict(), "seen": self.thing.seen, "right": "", "low": ""}
        super().point(form, refusal)

    def get_success_url(self) -> str:
        return reverse("label_sheet_calibrate", args=[self.thing.pk])

    def get_success_message(self) -> str:
        return f"Kept: {_offset(self.made.sheet)}. Print the page once more and look: it should lie on the labels now."

    def get_context_data(self, **more: Any) -> dict[str, Any]:
        sheet, ruler = self.thing.sheet, sheets_read.ruler()
        return super().get_context_data(
            sheet=self.thing,
            offset=_offset(sheet),
            across=ruler.told(sheet.width / 2),
            down=ruler.told(sheet.height / 2),
            tick=ruler.told(ruler.kept(ruler.tick)),
            roll=sheet.paper == rules.ROLL,
            **more,
        )


class LabelSheetDrop(_OfOne):
    title = "Delete {self.thing.name}?"
    lead = "What is printed stays. Nothing can be printed on it by this name any more."
    submit = "Delete sheet"
    danger = True
    success_message = "The sheet is deleted."

    def enter(self, form: Any) -> object:
        return sheets.drop(sheet=self.thing, by=self.request.user)


def _size(sheet: Sheet) -> str:
    return sheets_read.ruler().told(sheet.width, sheet.height)


def _offset(sheet: Sheet) -> str:
    """What the printer is made to do, in words that need no sign."""
    told, x, y = sheets_read.ruler().told, sheet.offset_x, sheet.offset_y
    across = f"{told(abs(x))} further {'right' if x > 0 else 'left'}" if x else ""
    down = f"{told(abs(y))} further {'down' if y > 0 else 'up'}" if y else ""
    return " and ".join(filter(None, (across, down))) or "no offset"
