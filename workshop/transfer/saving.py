"""Saving a workshop as a folder that `load` reads back. Reads the database; names the folder when all of it is written."""

import csv
import io
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.db import transaction

from costing.models import (
    Channel,
    Customer,
    Frame,
    LabourLine,
    Payment,
    PhotoArea,
    Reading,
    RecipeStep,
    Reminder,
    Repair,
    Sale,
    SkippedAddition,
    StepMark,
    StruckStay,
)
from inventory.base import selectors as workshop
from inventory.base.chain import selectors as chain
from inventory.base.spreadsheets import marked
from inventory.errors import Refused
from inventory.models import (
    BroughtRow,
    CheckedLanguage,
    LabelSheet,
    Move,
    Phrase,
    Place,
    Posting,
    SheetHeads,
    Snooze,
    Supplier,
)
from workshop.transfer import aside, manifest
from workshop.transfer.files import accounts, batches, masters, orders, recipes, settings, work
from workshop.transfer.files.saved_stock import SavedLedger
from workshop.transfer.files.selling import SavedSelling
from workshop.transfer.format import album
from workshop.transfer.format.columns import FILES, Cells, CsvFile


@dataclass(frozen=True)
class Saved:
    """Where the files are, the rows of each, how many photos and bills lie beside them, and what could not come along.

    `taken_back` entries were reversed and left out; so were `running` timers, whose minutes nobody knows before they stop.
    """

    folder: str
    rows: dict[str, int]
    photos: int
    bills: int
    taken_back: int
    running: int


def save(folder: Path) -> Saved:
    """Write every file that has rows. A folder that holds anything is refused, so nothing is ever overwritten."""
    refuse_filled(folder)
    with workshop.remembered(), workshop.at_home(), transaction.atomic():
        ledger, selling = SavedLedger(), SavedSelling()
        found = _files(ledger, selling)
        files = {name: rows for name in FILES if (rows := list(found[name]))}
        photos, bills = album.PHOTOS.named(files), album.BILLS.named(files)
        album.refuse_missing(photos)
        album.refuse_missing_bills(bills)
        taken_back, head = _taken_back(), chain.head()
        running = batches.running_timers()
    texts = {file: as_text(FILES[file], rows) for file, rows in files.items()}
    counts = {file: len(rows) for file, rows in files.items()}
    try:
        with aside.folder_for(folder.resolve(), "saving") as part:
            for file, text in texts.items():
                (part / file).write_text(text, encoding="utf-8", newline="\n")
            album.copy(album.PHOTOS, photos, part)
            album.copy(album.BILLS, bills, part)
            manifest.write(part, counts, head)
            aside.give_name(part, folder.resolve())
    except OSError as error:
        raise Refused(
            f"{folder} cannot be written: {error.strerror}. Free some room or name another folder."
        ) from error
    return Saved(str(folder), counts, len(photos), len(bills), taken_back, running)


def refuse_filled(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise Refused(f"{folder} is a file. Name a new or an empty folder.", field="folder")
    if not folder.parent.is_dir():
        raise Refused(f"There is no folder {folder.parent} to make {folder.name} in. Make it first.", field="folder")
    if folder.exists() and any(folder.iterdir()):
        raise Refused(
            f"{folder} is not empty, and nothing is overwritten. Name a new or an empty folder.", field="folder"
        )


def as_text(file: CsvFile, rows: Iterable[Cells]) -> str:
    """A file as CSV with every column in its order, lines ended by LF. A text that a spreadsheet would run is marked."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    names = [column.name for column in file.columns]
    writer.writerow(names)
    for row in rows:
        writer.writerow([marked(row.get(name, "")) for name in names])
    return text.getvalue()


def _files(ledger: SavedLedger, selling: SavedSelling) -> dict[str, Iterable[Cells]]:
    first_place = selling.moves.first_place
    return {
        **{name: FILES[name].rows(records, *order) for name, records, *order in _plain()},
        **ledger.files,
        **selling.files,
        **accounts.saved(ledger.numbers, selling.costs),
        "workshop.csv": settings.saved_settings(),
        "rates.csv": settings.saved_rates(),
        "closings.csv": settings.saved_closings(),
        "debtors.csv": masters.saved_debtors(),
        "materials.csv": masters.saved_materials(ledger.openings, first_place),
        "orders.csv": orders.saved(),
        "recipes.csv": recipes.saved_recipes(),
        "skins.csv": masters.saved_skins(first_place),
        "batches.csv": batches.saved_batches(),
        "labour.csv": work.saved_labour(),
        "losses.csv": masters.saved_losses(),
        "articles.csv": work.saved_articles(first_place),
        "regrades.csv": work.saved_regrades(),
        "jobs.csv": masters.saved_jobs(),
        "fairs.csv": masters.saved_fairs(),
    }


def _taken_back() -> int:
    """Entries that were reversed. The minutes of a mark are labour, which is counted with labour."""
    reversals = sum(model.objects.filter(reverses__isnull=False).count() for model in (Posting, LabourLine, Repair))
    marks = StepMark.objects.filter(reversed_at__isnull=False, labour__isnull=True).count()
    struck = (Reading, PhotoArea, Move, SkippedAddition, Reminder, Snooze)
    return (
        reversals
        + marks
        + StruckStay.objects.count()
        + sum(model.objects.filter(reversed_at__isnull=False).count() for model in struck)
    )


def _plain() -> Iterator[tuple[Any, ...]]:
    """Files whose rows are records as they are: the records, and the paths they are sorted by. What was reversed is left out."""
    marks = StepMark.objects.filter(reversed_at__isnull=True)
    readings = Reading.objects.filter(reversed_at__isnull=True)
    steps = RecipeStep.objects.select_related("version__recipe")
    yield "suppliers.csv", Supplier.objects.all(), "name"
    yield "places.csv", Place.objects.all(), "name"
    yield "channels.csv", Channel.objects.select_related("place"), "name"
    yield "steps.csv", steps, "version.recipe.code", "version.number", "position"
    yield "marks.csv", marks.select_related("batch", "step"), "on", "pk"
    skipped = SkippedAddition.objects.filter(reversed_at__isnull=True).select_related("batch", "line")
    yield "skipped.csv", skipped, "on", "pk"
    yield "readings.csv", readings.select_related("batch", "skin"), "at", "pk"
    areas = PhotoArea.objects.filter(reversed_at__isnull=True)
    yield "areas.csv", areas.select_related("skin"), "pk"  # each stands on the one that was written before it
    snoozed = Snooze.objects.filter(reversed_at__isnull=True).select_related("material")
    yield "snoozes.csv", snoozed, "on", "pk"
    repairs = Repair.objects.filter(reverses__isnull=True, reversed_by__isnull=True)
    yield "frames.csv", Frame.objects.select_related("place"), "number"
    yield "repairs.csv", repairs.select_related("frame"), "on", "pk"
    yield "customers.csv", Customer.objects.all(), "name"
    # A credit note says what its sale says, and the papers of the old books are not ours.
    yield "papers.csv", Sale.objects.exclude(kind__in=(Sale.Kind.CREDIT, Sale.Kind.OPENING)), "pk"
    reminded = Reminder.objects.filter(reversed_at__isnull=True).select_related("sale")
    yield "reminders.csv", reminded, "on", "pk"
    yield "receipts.csv", Payment.objects.all(), "sequence"
    yield "sheets.csv", SheetHeads.objects.all(), "heads"
    yield "words.csv", Phrase.objects.all(), "language", "key"
    yield "languages.csv", CheckedLanguage.objects.all(), "language"
    yield "label_sheets.csv", LabelSheet.objects.all(), "name"
    yield "brought.csv", BroughtRow.objects.all(), "on", "row"
