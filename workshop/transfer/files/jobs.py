"""Work agreed on customers' skins, and fairs with their pack lists."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from costing.models import Fair, Job
from costing.sell.fairs import services as fairs
from costing.sell.jobs import services as jobs
from costing.sell.jobs.cancellations import services as cancellations
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.session import ImportSession


def saved_jobs() -> Iterator[Cells]:
    for row in sorted(Job.objects.select_related("customer", "skin"), key=lambda row: (row.taken_on, row.number)):
        yield FILES["jobs.csv"].cells(row, given_back=row.given_back if row.given_up_on else None)


def saved_fairs() -> Iterator[Cells]:
    rows = Fair.objects.select_related("place").prefetch_related("pieces__article")
    for row in sorted(rows, key=lambda row: (row.on, row.name)):
        pieces = sorted(row.pieces.all(), key=lambda piece: piece.pk)
        yield FILES["fairs.csv"].cells(
            row,
            pieces=[piece.article.number for piece in pieces],
            back=[piece.article.number for piece in pieces if piece.back],
        )


def write_job(
    *, ready_on: date | None, given_up_on: date | None, given_up_why: str, given_back: bool, **agreed: Any
) -> Job:
    """The hand-over is the sale of the work, which comes later."""
    job = jobs.take(**agreed)
    if ready_on:
        jobs.ready(job=job, on=ready_on)
    if given_up_on:
        cancellations.take_over(job=job, on=given_up_on, reason=given_up_why, back=given_back)
    return job


def load_pack_lists(session: ImportSession) -> None:
    """What went to each fair and came back. Where it was meanwhile is in moves.csv."""
    for row in session.rows("fairs.csv"):
        if not (row["pieces"] or row["back"] or row["closed_on"]):
            continue
        with session.checking(row):
            packed, back = (
                [session.find("articles.csv", number, column) for number in row[column]]
                for column in ("pieces", "back")
            )
            fair = session.find("fairs.csv", row.name, "name")
            fairs.take_over(fair=fair, packed=packed, back=back, closed_on=row["closed_on"])
