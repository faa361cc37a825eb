"""Loading skins and the batches they join and leave."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from itertools import groupby

from costing.make.batches import services as batches
from costing.make.batches.stays import services as stays_services
from inventory import units
from inventory.models import Skin
from inventory.skins import services as skins
from workshop.exchange import load_shed
from workshop.exchange.columns import Stay
from workshop.exchange.desk import Desk
from workshop.exchange.parsing import Row


def load_skins(desk: Desk) -> None:
    for row in desk.rows("skins.csv"):
        with desk.writing(row):
            details = skins.Details(
                species=row["species"],
                date_in=row["date_in"],
                owner=row["owner"],
                price=Decimal(row["price"]),
                green_weight=skins.grams(row["green_kg"]),
                sex_age=row["sex_age"],
                customer=row["customer"],
                supplier=desk.supplier(row),
                source=row["source"],
                place=desk.place(row),
                defects=row["defects"],
                wet_area=_area(row["wet_dm2"]),
                dry_area=_area(row["dry_dm2"]),
            )
            skins.take_in(tag=row["tag"], details=details)
            desk.tags[row["tag"]] = row["tag"]


def _area(dm2: Decimal | None) -> Decimal | None:
    return None if dm2 is None else units.to_base(dm2, "dm2", "cm2")


def load_batches(desk: Desk) -> None:
    """Plans first, then their marks, then the stays of each skin by their days: a skin leaves one batch before it joins the next.

    A batch with entries, or that a skin left, is in work from the start: out of a mere plan a skin would leave no trace.
    """
    worked = {row["batch"] for file in ("uses.csv", "labour.csv", "marks.csv") for row in desk.rows(file)}
    stays: list[tuple[Row, Stay]] = []
    for row in desk.rows("batches.csv"):
        with desk.writing(row):
            desk.batches[row["batch"]] = batches.plan(
                number=row["batch"],
                version=desk.version(row),
                start=row["start"],
                litres=row["litres"],
                planned_skins=row["planned_skins"],
                share_by=row["share_by"],
                place=desk.place(row),
                frames=desk.place(row, "frames"),
                note=row["note"],
            )
            if row["batch"] in worked or any(stay.left for stay in row["skins"]):
                stays_services.begun(desk.batches[row["batch"]])
            stays += [(row, stay) for stay in row["skins"]]
    load_shed.load_marks(desk)
    stays.sort(key=lambda pair: (*_days(*pair), pair[0].number))
    for _, group in groupby(stays, key=lambda pair: (*_days(*pair), pair[0].number)):
        together = list(group)
        row, first = together[0]
        with desk.checking(row):
            _stay_together(desk, row, first, [stay.tag for _, stay in together])


def _days(row: Row, stay: Stay) -> tuple[date, date]:
    return stay.joined or row["start"], stay.left or date.max


def _stay_together(desk: Desk, row: Row, days: Stay, tags: Sequence[str]) -> None:
    batch = desk.batches[row["batch"]]
    stays_services.join(batch=batch, tags=desk.skins(row, tags), on=days.joined or batch.start)
    if days.left:
        for skin in Skin.objects.filter(tag__in=tags):
            stays_services.leave(batch=batch, skin=skin, on=days.left)


def settle(desk: Desk) -> None:
    """Batches that all skins left before anything was written on them could not know that they were done."""
    for batch in desk.batches.values():
        stays_services.settle_state(batch)
