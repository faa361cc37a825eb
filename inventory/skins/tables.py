"""The list of skins."""

from typing import Any

import django_tables2 as tables

from inventory.skins.models import Skin
from inventory.web.tables import FAR, FAR_NUMBER, Cell, DayColumn, ListTable

MARKS = {Skin.Stage.RAW: "wait", Skin.Stage.IN_WORK: "now", Skin.Stage.FINISHED: "ok", Skin.Stage.LOST: "late"}


class SkinTable(ListTable):
    caption = "Skins"

    tag = Cell("inventory/skins/cells/tag.html", "Tag")
    species = Cell("inventory/skins/cells/species.html", "Species", order_by=("species", "tag"))
    owner = Cell("inventory/skins/cells/owner.html", "Owner", attrs=FAR, order_by=("owner", "tag"))
    stage = Cell("inventory/skins/cells/stage.html", "Stage", order_by=("stage", "tag"))
    place = tables.Column("Location", accessor="place__name", attrs=FAR, order_by=("place__name", "tag"), default="")
    green_weight = Cell(
        "inventory/skins/cells/green_weight.html", "Green weight", attrs=FAR_NUMBER, order_by=("green_weight", "tag")
    )
    date_in = DayColumn("Received", attrs=FAR, order_by=("date_in", "pk"))
    supplier = Cell("inventory/suppliers/cells/cell.html", "From", attrs=FAR, order_by=("supplier__name", "tag"))

    def about(self, record: Skin) -> dict[str, Any]:
        return {"theirs": record.owner == Skin.Owner.CUSTOMER, "mark": MARKS[Skin.Stage(record.stage)]}

    class Meta:
        empty_text = "No skin matches. Clear the filter, or add one."
