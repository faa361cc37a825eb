"""Loading the shed's log: steps that were done, skipped or repeated, and what was read and seen."""

from __future__ import annotations

from costing.make.readings import services as readings
from costing.make.steps import services as marks
from costing.models import Batch, RecipeStep
from workshop.exchange.album import Album
from workshop.exchange.desk import Desk
from workshop.exchange.files import PHOTOS
from workshop.exchange.parsing import Row
from workshop.exchange.problems import Problem


def load_marks(desk: Desk) -> None:
    """In the order of their days, whatever the order of rows: a step cannot be logged before the one it follows.

    Before any skin joins or leaves: a batch that its skins have left is done and takes no mark any more.
    """
    for row in sorted(desk.rows("marks.csv"), key=lambda row: (row["date"], row.number)):
        with desk.writing(row):
            desk.refuse_spoiled(row)
            batch = desk.named_batch(row)
            marks.log(batch=batch, step=_step(desk, row, batch), kind=row["kind"], on=row["date"], note=row["note"])


def _step(desk: Desk, row: Row, batch: Batch) -> RecipeStep:
    if batch.version_id not in desk.steps:
        desk.steps[batch.version_id] = {step.name: step for step in batch.version.steps.all()}
    return desk.found(row, "step", desk.steps[batch.version_id], "steps.csv", row["step"])


def load_readings(desk: Desk, album: Album) -> None:
    rows = desk.rows("readings.csv")
    for row in rows:
        with desk.writing(row):
            reading = readings.note(
                batch=desk.batch(row),
                tags=desk.skins(row, [row["skin"]] if row["skin"] else [], column="skin"),
                at=row["at"],
                ph=row["ph"],
                celsius=row["celsius"],
                weight=row["weight_g"],
                note=row["note"],
                photo=album.content(row["photo"]) if row["photo"] else None,
            )
            album.kept |= {reading.photo} - {""}
    _complain_of_unnamed(desk, album)


def _complain_of_unnamed(desk: Desk, album: Album) -> None:
    """A photo in the folder that would be dropped unseen; not judged where a row that was refused may have named it."""
    if any(problem.file == "readings.csv" for problem in desk.problems):
        return
    named = {row["photo"] for row in desk.rows("readings.csv")}
    desk.problems += [
        Problem(
            f"{PHOTOS}/{name}", None, "", "", "No row of readings.csv names this file. Name it there, or take it out."
        )
        for name in album.unnamed(named)
    ]
