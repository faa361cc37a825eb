"""The list of skins."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables

from inventory.skins.models import Skin
from inventory.web.tables import DAY, FAR, FAR_NUMBER, Ledger, Words

MARKS = {
    Skin.Stage.RAW: "wait",
    Skin.Stage.IN_WORK: "now",
    Skin.Stage.FINISHED: "ok",
    Skin.Stage.LOST: "late",
}


class SkinTable(Ledger):
    caption = "Skins"

    tag = Words("inventory/skins/cells/tag.html", "Tag")
    species = Words("inventory/skins/cells/species.html", "Species", order_by=("species", "tag"))
    owner = Words("inventory/skins/cells/owner.html", "Whose", attrs=FAR, order_by=("owner", "tag"))
    stage = Words("inventory/skins/cells/stage.html", "Stage", order_by=("stage", "tag"))
    place = tables.Column("Place", accessor="place__name", attrs=FAR, order_by=("place__name", "tag"), default="")
    green_weight = Words(
        "inventory/skins/cells/green_weight.html", "Green", attrs=FAR_NUMBER, order_by=("green_weight", "tag")
    )
    date_in = tables.DateColumn(verbose_name="Came on", format=DAY, attrs=FAR, order_by=("date_in", "pk"))
    supplier = Words("inventory/suppliers/cells/cell.html", "From", attrs=FAR, order_by=("supplier__name", "tag"))

    def about(self, record: Skin) -> dict[str, Any]:
        return {"theirs": record.owner == Skin.Owner.CUSTOMER, "mark": MARKS[Skin.Stage(record.stage)]}

    class Meta:
        empty_text = "No skin fits that. Show all of them, or take one in."
