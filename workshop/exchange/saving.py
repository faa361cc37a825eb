"""Saving a workshop as a folder that `load` reads back. Reads only the database; writes only into an empty folder."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from django.db import transaction

from inventory.base import selectors as workshop
from inventory.errors import Refused
from workshop.exchange import album, save_hides, save_masters, save_shed, save_trade, save_work
from workshop.exchange.files import TABLES
from workshop.exchange.reading import formula_start
from workshop.exchange.save_events import Ledger
from workshop.exchange.save_masters import Cells
from workshop.exchange.save_selling import Selling
from workshop.exchange.table import Table


@dataclass(frozen=True)
class Saved:
    """Where the files are, the rows of each, how many photos lie beside them, and what could not come along.

    `taken_back` entries were left out; so were `running` sittings, whose minutes nobody knows before they stop.
    """

    folder: str
    rows: dict[str, int]
    photos: int
    taken_back: int
    running: int


def save(folder: Path) -> Saved:
    """Write every file that has rows. A folder that holds anything is refused, so nothing is ever overwritten."""
    refuse_filled(folder)
    with workshop.remembered(), transaction.atomic():
        ledger, selling = Ledger(), Selling()
        files = {file: rows for file, found in _files(ledger, selling).items() if (rows := list(found))}
        photos = list(dict.fromkeys(row["photo"] for row in files.get("readings.csv", []) if row["photo"]))
        album.refuse_missing(photos)
        taken_back = ledger.taken_back + save_shed.taken_back() + selling.taken_back
        running = save_shed.running()
    texts = {file: as_text(TABLES[file], rows) for file, rows in files.items()}
    try:
        folder.mkdir(exist_ok=True)
        for file, text in texts.items():
            (folder / file).write_text(text, encoding="utf-8", newline="\n")
        album.copy(photos, folder)
    except OSError as error:
        raise Refused(
            f"{folder} cannot be written: {error.strerror}. Free some room or name another folder."
        ) from error
    counts = {file: len(rows) for file, rows in files.items()}
    return Saved(str(folder), counts, len(photos), taken_back, running)


def refuse_filled(folder: Path) -> None:
    if folder.exists() and not folder.is_dir():
        raise Refused(f"{folder} is a file. Name a new or an empty folder.", field="folder")
    if not folder.parent.is_dir():
        raise Refused(f"There is no folder {folder.parent} to make {folder.name} in. Make it first.", field="folder")
    if folder.exists() and any(folder.iterdir()):
        raise Refused(
            f"{folder} is not empty, and nothing is overwritten. Name a new or an empty folder.", field="folder"
        )


def as_text(table: Table, rows: Iterable[Cells]) -> str:
    """A table as CSV with every column in its order, lines ended by LF. Refuses a cell that a spreadsheet would run."""
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    names = [column.name for column in table.columns]
    writer.writerow(names)
    for row in rows:
        cells = [row.get(name, "") for name in names]
        for name, cell in zip(names, cells, strict=True):
            if formula_start(cell):
                raise Refused(
                    f"{table.file}: {name} “{cell}” would run as a formula in a spreadsheet. Change this text first."
                )
        writer.writerow(cells)
    return text.getvalue()


def _files(ledger: Ledger, selling: Selling) -> dict[str, Iterable[Cells]]:
    return {
        "workshop.csv": [*save_masters.settings(), *save_trade.terms()],
        "rates.csv": save_masters.rates_by_day(),
        "suppliers.csv": save_masters.suppliers(),
        "places.csv": save_masters.places(),
        "channels.csv": save_masters.channels(),
        "materials.csv": save_masters.materials(ledger.openings, selling.first_place),
        "recipes.csv": save_masters.recipe_lines(),
        "steps.csv": save_shed.steps(),
        "skins.csv": save_hides.skins(selling.first_place),
        "batches.csv": save_hides.batches(),
        "marks.csv": save_shed.marks(),
        "readings.csv": save_shed.readings(),
        **ledger.files,
        "losses.csv": save_work.losses(),
        "labour.csv": save_work.labour(),
        "articles.csv": save_work.articles(selling.first_place),
        "regrades.csv": save_work.regrades(),
        "customers.csv": save_trade.customers(),
        "jobs.csv": save_trade.jobs(),
        "fairs.csv": save_trade.fairs(),
        **selling.files,
        "papers.csv": save_trade.issued(),
        "receipts.csv": save_trade.receipts(),
    }
