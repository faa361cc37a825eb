"""Pages of lacings: naming the frames of a line of work, taking a skin off its frame."""

from typing import Any

from django.db.models import Model, QuerySet
from django.utils.functional import cached_property

from costing.make.frames import selectors as frames_read
from costing.make.frames.lacings import selectors as lacings_read, services as lacings
from costing.make.frames.lacings.forms import NamesForm, OffForm
from costing.make.frames.models import Lacing
from costing.make.labour.models import LabourLine
from inventory import formats
from inventory.models import Skin
from inventory.web.views import About


class LineFrames(About[LabourLine]):
    form_class = NamesForm
    title = "Which frames?"
    submit = "Name the frames"
    success_message = "The frames are named."

    def things(self) -> QuerySet[LabourLine]:
        return LabourLine.objects.filter(laced=True, reverses__isnull=True).select_related("batch")

    @cached_property
    def bearers(self) -> dict[str, Skin]:
        return lacings_read.bearers(self.thing)

    def get_lead(self) -> str:
        line = self.thing
        return f"{line.task.capitalize()} on {formats.day(line.on)}. A named frame bears the wear of its lacing."

    def whose(self) -> Model | None:
        return self.thing.batch or next(iter(self.bearers.values()), None)

    def form_options(self) -> dict[str, Any]:
        return {"tags": self.bearers, "frames": lacings_read.offered()}

    def get_initial(self) -> dict[str, Any]:
        return {lacing.skin.tag: lacing.frame.number for lacing in self.thing.lacings.select_related("skin", "frame")}

    def enter(self, form: NamesForm) -> LabourLine:
        key = form.cleaned_data["request_key"]
        return lacings.name(line=self.thing, on_frames=form.names(), by=self.request.user, request_key=key)


class TakeOff(About[Lacing]):
    form_class = OffForm
    title = "Take {self.thing.skin} off {self.thing.frame}"
    submit = "Take it off"
    lead = "The frame is free from that day."
    success_message = "{self.thing.skin} is off {self.thing.frame}."

    def things(self) -> QuerySet[Lacing]:
        return frames_read.still_on()

    def whose(self) -> Model:
        return self.thing.frame

    def enter(self, form: OffForm) -> Lacing:
        return lacings.take_off(lacing=self.thing, **self.given(form))
