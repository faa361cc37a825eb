"""The list of frames."""

from collections.abc import Mapping

import django_tables2 as tables
from django.utils.safestring import SafeString

from costing.make.frames.models import Frame, Lacing
from costing.make.frames.rules import Worn
from inventory import formats
from inventory.base import selectors as workshop
from inventory.web.tables import FAR, FAR_NUMBER, NUMBER, Figure, ListTable, TagColumn, link_to


class FrameTable(ListTable):
    """What is left of each and what it holds, by frame id, is given by the view for the rows of the page shown."""

    caption = "Frames"
    money = ("wear", "left")
    worn: Mapping[int, Worn] = {}
    holding: Mapping[int, Lacing] = {}

    number = TagColumn("frame", "Frame")
    holds = tables.Column("Holds", accessor="pk", orderable=False)
    place = tables.Column("Location", attrs=FAR, default="–", order_by=("place__name", "number"))
    lacings = tables.Column("Lacings left", accessor="pk", orderable=False, attrs=NUMBER)
    wear = Figure("A lacing", of=lambda table, row: table.worn[row.pk].next_wear(workshop.places()))
    left = Figure("Left of its cost", of=lambda table, row: table.worn[row.pk].left, attrs=FAR_NUMBER)
    note = tables.Column(attrs=FAR, default="–", order_by=("note", "number"))

    def render_holds(self, record: Frame) -> SafeString | str:
        if record.broken_on:
            return f"broken {formats.day(record.broken_on)}"
        held = self.holding.get(record.pk)
        return link_to(held.skin, held.skin.tag) if held else "–"

    def render_lacings(self, record: Frame) -> str:
        return "–" if record.broken_on else f"{self.worn[record.pk].lacings}"

    class Meta:
        empty_text = "No frame matches. Search for less, or clear the filter."
