"""Loading a folder, all or nothing: every bad row is named, and nothing stays written when one was bad."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from django.db import models, transaction

from costing.models import Batch, Channel, Customer, Expense, Fair, Job, LabourLine, Payment, Recipe, Sale, SideHours
from inventory.base import selectors as selector
from inventory.errors import Refused
from inventory.models import Article, Material, Move, Place, Posting, Skin, Supplier
from workshop.exchange import load_events, load_hides, load_masters, load_selling, load_shed, load_work
from workshop.exchange.album import Album
from workshop.exchange.desk import Desk
from workshop.exchange.files import TABLES
from workshop.exchange.parsing import Parsed, parse, refused_header
from workshop.exchange.problems import SHOWN, FolderRefused
from workshop.exchange.reading import read_folder

_MUST_BE_EMPTY: tuple[type[models.Model], ...] = (
    Material,
    Recipe,
    Skin,
    Batch,
    Posting,
    LabourLine,
    Article,
    Supplier,
    Place,
    Channel,
    Customer,
    Job,
    Fair,
    Sale,
    Payment,
    Expense,
    SideHours,
    Move,
)


@dataclass(frozen=True)
class Loaded:
    """How many of each noun were written, or would have been in a dry run."""

    written: dict[str, int]
    dry_run: bool = False


def load(folder: Path, *, dry_run: bool = False) -> Loaded:
    """Write a folder into an empty workshop. `FolderRefused` names every problem; then nothing is written."""
    desk, album, stands = Desk(read(folder)), Album(folder), False
    try:
        with selector.remembered(), transaction.atomic():
            refuse_filled()
            if len(desk.problems) < SHOWN:
                _write(desk, album)
            if desk.problems:
                raise FolderRefused(desk.problems, unchecked=desk.unchecked)
            if dry_run:
                transaction.set_rollback(True)
        stands = not dry_run
    finally:
        if not stands:
            album.forget()
    return Loaded(dict(desk.written), dry_run)


def read(folder: Path) -> dict[str, Parsed]:
    """The typed rows of each file. A file that cannot be read, or has the wrong columns, stops here: others lean on it."""
    raws, problems = read_folder(folder, TABLES)
    for file, raw in raws.items():
        problems += refused_header(raw, TABLES[file])
    if problems:
        raise FolderRefused(problems)
    return {file: parse(raw, TABLES[file]) for file, raw in raws.items()}


def refuse_filled() -> None:
    """A load never mixes with what is there: two histories in one ledger could not be told apart or taken back."""
    there = [str(model._meta.verbose_name_plural) for model in _MUST_BE_EMPTY if model._default_manager.exists()]
    if there:
        raise Refused(
            f"This workshop is not empty (it has {', '.join(there)}), and a folder is loaded into an empty one only. "
            "Start one with `manage.py open --empty`, or name another folder in TAWERY_DATA."
        )


def _write(desk: Desk, album: Album) -> None:
    load_masters.load(desk)
    load_hides.load_skins(desk)
    load_hides.load_batches(desk)
    load_shed.load_readings(desk, album)
    load_events.load(desk)
    load_work.load_losses(desk)
    load_work.load_labour(desk)
    load_work.load_articles(desk)
    load_work.load_regrades(desk)
    load_hides.settle(desk)
    load_selling.load(desk)
    load_masters.load_last(desk)
