"""Batches with the skins that joined and left them, the steps that were logged, and what was read, seen and measured."""

from collections.abc import Iterator, Sequence
from datetime import date
from itertools import groupby
from typing import Any

from costing.make.additions import services as additions
from costing.make.batches import services as batches
from costing.make.batches.stays import services as stays_services
from costing.make.readings import services as readings
from costing.make.readings.areas import services as areas
from costing.make.readings.areas.taps import Tapped
from costing.make.steps.marks import services as marks
from costing.models import Batch, BatchSkin, LabourLine, RecipeStep, SkippedAddition, StepMark, Use, WorkSession
from inventory.base import pictures
from inventory.errors import Refused
from inventory.models import Skin
from workshop.transfer.files.recipes import line_of, version_of
from workshop.transfer.format.album import PHOTOS, Album
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.problems import Problem
from workshop.transfer.format.readers import Stay
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession, Leaning


def saved_batches() -> Iterator[Cells]:
    rows = Batch.objects.select_related("version__recipe", "place", "frames").prefetch_related(
        "stays__skin__parts__article", "stays__skin__stays"
    )
    worked = _worked()
    for row in sorted(rows, key=lambda row: (row.start, row.pk)):
        stays = sorted(_stay(row, stay, worked=row.pk in worked) for stay in row.stays.all())
        yield FILES["batches.csv"].cells(row, skins=stays)


def running_timers() -> int:
    """Softening sessions whose timer runs: their minutes are not written yet, so no file can carry them."""
    return WorkSession.objects.filter(stopped_at__isnull=True, dropped_at__isnull=True).count()


def _worked() -> set[int]:
    """Batches with an entry that is saved. Without one, loading takes them for mere plans unless a skin's leaving is written."""
    uses = Use.objects.filter(posting__reverses__isnull=True, posting__reversed_by__isnull=True)
    labour = LabourLine.objects.filter(reverses__isnull=True, reversed_by__isnull=True)
    logged = StepMark.objects.filter(reversed_at__isnull=True)
    skipped = SkippedAddition.objects.filter(reversed_at__isnull=True)
    return {pk for rows in (uses, labour, logged, skipped) for pk in rows.values_list("batch", flat=True) if pk}


def _stay(batch: Batch, stay: BatchSkin, *, worked: bool) -> str:
    """The tag, with its own days where they are not what the batch, a loss or the finished piece says already."""
    left = "" if stay.left_on is None or (worked and _left_by_itself(stay)) else f"..{stay.left_on}"
    if not left and stay.joined_on == batch.start:
        return stay.skin.tag
    return f"{stay.skin.tag}@{stay.joined_on}{left}"


def _left_by_itself(stay: BatchSkin) -> bool:
    """Whether loading the loss or the article makes the skin leave on this very day: then it is the last of its stays."""
    skin = stay.skin
    later = [other for other in skin.stays.all() if (other.joined_on, other.pk) > (stay.joined_on, stay.pk)]
    if later:
        return False
    if skin.stage == Skin.Stage.LOST:
        return stay.left_on == skin.lost_on
    if skin.stage != Skin.Stage.FINISHED:
        return False
    last = max(skin.parts.all(), key=lambda part: part.pk)
    return stay.left_on == last.article.finished_on


def load_batches(session: ImportSession) -> None:
    """Plans first, then their marks, then the stays of each skin by their days: a skin leaves one batch before it joins the next.

    A batch with entries, or that a skin left, is in work from the start: out of a mere plan a skin would leave no trace.
    """
    worked = {
        row["batch"] for file in ("uses.csv", "labour.csv", "marks.csv", "skipped.csv") for row in session.rows(file)
    }
    stays: list[tuple[CsvRow, Stay]] = []
    for row in session.rows("batches.csv"):
        with session.writing(row):
            batch = batches.plan(version=version_of(session, row), **session.arguments(row))
            session.keep(row, batch)
            if row["batch"] in worked or any(stay.left for stay in row["skins"]):
                stays_services.begun(batch)
            stays += [(row, stay) for stay in row["skins"]]
    load_marks(session)
    for _, group in groupby(sorted(stays, key=_turn), key=_turn):
        together = list(group)
        row, first = together[0]
        with session.checking(row):
            _stay_together(session, row, first, [stay.tag for _, stay in together])


def _turn(said: tuple[CsvRow, Stay]) -> tuple[date, date, int]:
    row, stay = said
    return stay.joined or row["start"], stay.left or date.max, row.number


def _stay_together(session: ImportSession, row: CsvRow, days: Stay, tags: Sequence[str]) -> None:
    batch: Batch = session.known["batches.csv"][row["batch"]]
    for tag in tags:
        session.find("skins.csv", tag, "skins")
    stays_services.join(batch=batch, tags=tags, on=days.joined or batch.start)
    if days.left:
        for skin in Skin.objects.filter(tag__in=tags):
            stays_services.leave(batch=batch, skin=skin, on=days.left)


def settle(session: ImportSession) -> None:
    """Batches that all skins left before anything was written on them could not know that they were done."""
    for batch in session.known["batches.csv"].values():
        stays_services.settle_state(batch)


def load_marks(session: ImportSession) -> None:
    """In the order of their days, whatever the order of rows: a step cannot be logged before the one it follows.

    Before any skin joins or leaves: a batch that its skins have left is done and takes no mark any more.
    """
    rows = sorted(session.rows("marks.csv"), key=lambda row: (row["date"], row.number))
    steps: dict[int, dict[str, RecipeStep]] = {}
    if not _marked_together(session, rows, steps):
        for row in rows:
            with session.writing(row):
                marks.log(**_mark(session, row, steps), without=None)
    for row in session.rows("skipped.csv"):
        with session.writing(row):
            session.refuse_spoiled(row)
            additions.skip(line=line_of(session, row), **session.arguments(row))


def _marked_together(session: ImportSession, rows: Sequence[CsvRow], steps: dict[int, dict[str, RecipeStep]]) -> bool:
    """Whether all could be written at once; where one is refused none is, and each is to be asked by itself."""
    try:
        told = [marks.Told(**_mark(session, row, steps)) for row in rows]
        marks.log_told(told=told)
    except (Refused, Leaning):
        return False
    for row in rows:
        session.written[row.file.noun] += 1
    return True


def _mark(session: ImportSession, row: CsvRow, steps: dict[int, dict[str, RecipeStep]]) -> dict[str, Any]:
    session.refuse_spoiled(row)
    version = session.named(row, "batch").version
    if version.pk not in steps:
        steps[version.pk] = {step.name: step for step in version.steps.all()}
    return {"step": session.find("steps.csv", row["step"], "step", steps[version.pk]), **session.arguments(row)}


def load_readings(session: ImportSession, album: Album) -> None:
    for row in session.rows("readings.csv"):
        with session.writing(row):
            session.named(row, "skin")
            reading = readings.note(
                **session.arguments(row),
                tags=[row["skin"]] if row["skin"] else [],
                photo=album.content(row["photo"]) if row["photo"] else None,
            )
            album.kept |= {reading.photo} - {""}


def load_areas(session: ImportSession, album: Album) -> None:
    """In their order: each stands on the one before it. The skin has its areas already, out of skins.csv."""
    for row in session.rows("areas.csv"):
        with session.writing(row):
            if row["apart_mm"] is not None and (
                row["frame_width_mm"] is not None or row["frame_height_mm"] is not None
            ):
                raise Refused("One scale is enough: give the inside of the frame, or apart_mm.", field="apart_mm")
            tapped = Tapped(
                *(row["corners"], row["outline"], row["defects"]),
                *(row["frame_width_mm"], row["frame_height_mm"], row["apart_mm"]),
            )
            columns = {column.path: column for column in row.file.columns}
            told = {name: session.said(row, columns[name]) for name in (*areas.AREAS, *areas.LENGTHS)}
            figures = {name: figure for name, figure in told.items() if figure is not None}
            said = session.arguments(row)
            areas.take_over(**said, photo=_as_tapped(row, album), tapped=tapped, figures=figures)


def _as_tapped(row: CsvRow, album: Album) -> str:
    """The photo, kept. One that is kept smaller than it comes is refused: its points would lie elsewhere."""
    content = album.content(row["photo"])
    size = pictures.measured(content)
    name = readings.keep(content)
    album.kept.add(name)
    kept = pictures.measured(areas.kept(name))
    if max(kept) != max(size):
        raise Refused(
            f"The photo has {size[0]} × {size[1]} pixels and is kept with {kept[0]} × {kept[1]}, where its points would lie "
            "elsewhere. Make it that small, and give its points in the new pixels.",
            field="photo",
        )
    return name


def complain_of_photos(session: ImportSession, album: Album) -> None:
    """Photos that lie there and that no row names; judged once everything is read, for they are of two files."""
    if any(problem.file in PHOTOS.files for problem in session.problems):
        return  # a row that was refused may have named the photo that would be dropped unseen
    named = {row["photo"] for file in PHOTOS.files for row in session.rows(file)}
    words = "No row of readings.csv or areas.csv names this file. Name it there, or take it out."
    session.problems += [Problem(f"{PHOTOS.name}/{name}", words) for name in album.unnamed(named)]
