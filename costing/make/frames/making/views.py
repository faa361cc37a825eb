"""Pages of frames: the list, one with its books, making, describing anew, repairing, writing off."""

from typing import Any

from django import forms
from django.db.models import Model, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.views.decorators.http import require_safe

from costing.make.batches.issues.views import Issue
from costing.make.frames import selectors as frames_read
from costing.make.frames.making import services as frames
from costing.make.frames.making.forms import BreakForm, DescribeForm, FrameFinder, FrameForm, RepairForm
from costing.make.frames.making.tables import FrameTable
from costing.make.frames.models import Frame, Repair
from inventory.permits import Act, may
from inventory.web.lists import ListPage
from inventory.web.reversals import ON, REASON, Reversal
from inventory.web.trail import above, page
from inventory.web.views import About


class FrameList(ListPage):
    table_class = FrameTable
    finder_class = FrameFinder
    rows = staticmethod(frames_read.listed)
    title = "Frames"
    trail = ("batches",)
    lead = "Each frame wears off with its lacings: what is left of its cost, divided by the lacings left."
    action = ("New frame", "frame_new")
    needs = Act.SHED
    empty_title = "No frame yet"
    empty_text = (
        "A frame is made of lumber, screws and time, and is good for so many lacings. Give each a number: then a skin "
        "bears the wear of the very frame it was laced to."
    )

    def prepare(self, table: Any) -> None:
        table.worn = frames_read.left(table.shown())
        table.holding = frames_read.holding(found.last for found in table.worn.values() if found.last)


@require_safe
def frame(request: HttpRequest, number: str) -> HttpResponse:
    row = get_object_or_404(frames_read.listed(), number=number)
    account = frames_read.accounts([row])[row.pk]
    return page(
        request,
        "costing/make/frames/making/frame.html",
        row.number,
        above(row),
        frame=row,
        account=account,
        may_log=may(request.user, Act.SHED),
    )


class _Made(Issue):
    """An entry with the materials that went into a frame, which may be none."""

    template_name = "costing/make/frames/making/materials.html"
    rows_title = "What it took off the shelf"
    rows_note = "lumber, screws; empty rows are ignored"


class FrameNew(_Made):
    form_class = FrameForm
    title = "New frame"
    trail = ("batches", "frames")
    submit = "Add frame"
    cancel_page = "frames"
    opens_made = True
    success_message = "Frame {self.made.number} can be laced now."
    needs = Act.SHED

    def enter(self, form: forms.Form) -> Frame:
        return frames.build(amounts=self.amounts(), **self.sent(form))


class FrameRepair(_Made, About[Frame]):
    model = Frame
    form_class = RepairForm
    title = "Repair {self.thing.number}"
    submit = "Record repair"
    lead = "What it takes adds to what is left of the frame, and is worn off by the lacings to come."
    success_message = "The repair is recorded."

    def enter(self, form: forms.Form) -> Repair:
        return frames.repair(frame=self.thing, amounts=self.amounts(), **self.sent(form))


class FrameEdit(About[Frame]):
    model = Frame
    form_class = DescribeForm
    title = "Edit {self.thing.number}"
    lead = "What its lacings wore off follows. On finished pieces the difference stands as late."
    prefilled = ("lacings", "cost", "minutes", "place", "note")
    success_message = "{self.thing.number} is changed."

    def get_form(self, form_class: Any = None) -> Any:
        form = super().get_form(form_class)
        if not may(self.request.user, Act.MONEY):
            del form.fields["cost"]
        return form

    def enter(self, form: forms.Form) -> Frame:
        return frames.describe(frame=self.thing, **{"cost": self.thing.cost, **self.given(form)})


class FrameBreak(About[Frame]):
    model = Frame
    form_class = BreakForm
    title = "Frame {self.thing.number} is broken"
    lead = "It takes no skin after that day, and what is left of its cost is written off. Skins keep what they bore."
    submit = "Write it off"
    danger = True
    success_message = "{self.thing.number} is written off."

    def enter(self, form: forms.Form) -> Frame:
        return frames.write_off(frame=self.thing, **self.given(form))


class FrameMend(About[Frame]):
    model = Frame
    title = "Is {self.thing.number} whole after all?"
    lead = "It can be laced again, and what was left of its cost is left again."
    submit = "It is whole"
    success_message = "{self.thing.number} can be laced again."

    def enter(self, form: forms.Form) -> Frame:
        return frames.take_back(frame=self.thing, by=self.request.user)


class RepairReversal(Reversal[Repair]):
    asks: tuple[str, ...] = (ON, REASON)
    title = "Reverse this repair?"
    lead = (
        "Its materials go back on the shelf, and its minutes and money leave the frame. Both entries stay in the books."
    )
    success_message = "Reversed."

    def things(self) -> QuerySet[Repair]:
        return Repair.objects.select_related("frame", "use__posting")

    def whose(self) -> Model:
        return self.thing.frame

    def enter(self, form: forms.Form) -> Repair:
        return frames.reverse(repair=self.thing, **self.sent(form))
