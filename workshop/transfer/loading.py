"""Loading a folder, all or nothing: every bad row is named, and nothing stays written when one was bad."""

from dataclasses import dataclass
from pathlib import Path

from django.db import models, transaction

from costing.make.batches.stays import services as stays
from costing.make.cost import services as cost
from costing.make.cost.lines import selectors as lines
from costing.make.frames.making import services as frames
from costing.make.losses import services as losses
from costing.make.vessels import services as vessels
from costing.models import (
    Batch,
    BillPayment,
    Channel,
    CostHeading,
    CostKind,
    Customer,
    Expense,
    Fair,
    Frame,
    Job,
    LabourLine,
    OpeningBalance,
    Payment,
    Recipe,
    Reminder,
    Sale,
    SideHours,
    Transfer,
    WriteOff,
)
from costing.sell.payments import settlement
from costing.sell.pricing.channels import services as channels
from inventory.base import selectors as workshop
from inventory.base.chain import services as chain
from inventory.base.labels import services as label_sheets
from inventory.base.sheets import services as sheets
from inventory.errors import Refused
from inventory.foresight.snoozes import services as snoozes
from inventory.models import (
    Article,
    BroughtRow,
    CheckedLanguage,
    LabelSheet,
    Material,
    Move,
    Order,
    Phrase,
    Place,
    Posting,
    SheetHeads,
    Skin,
    Supplier,
)
from inventory.places import services as places
from workshop.transfer import manifest
from workshop.transfer.files import accounts, batches, masters, orders, recipes, selling, settings, stock, work
from workshop.transfer.format.album import BILLS, Album
from workshop.transfer.format.problems import SHOWN, FolderRefused
from workshop.transfer.format.rows import read_folder
from workshop.transfer.format.session import ImportSession

_MUST_BE_EMPTY: tuple[type[models.Model], ...] = (
    *(Material, Recipe, Skin, Batch, Posting, LabourLine, Article, Supplier, Place, Frame),
    *(Channel, Customer, Job, Fair, Sale, Payment, WriteOff, Reminder, Expense, SideHours, Move),
    *(CostHeading, CostKind, OpeningBalance, Transfer, BillPayment, SheetHeads, BroughtRow, LabelSheet, Order),
    *(Phrase, CheckedLanguage),
)


@dataclass(frozen=True)
class Loaded:
    """How many of each noun were written, or would have been in a dry run."""

    written: dict[str, int]
    dry_run: bool = False


def load(folder: Path, *, dry_run: bool = False) -> Loaded:
    """Write a folder into an empty workshop. `FolderRefused` names every problem; then nothing is written."""
    manifest.refuse_incomplete(folder)
    old = manifest.head(folder)
    session, album = ImportSession(read_folder(folder)), Album(folder)
    session.bills = Album(folder, BILLS)
    try:
        with workshop.remembered(), vessels.moves_told(), stays.unseen(), chain.together(), workshop.held():
            refuse_filled()
            if old is not None:
                chain.come_from(old)
            if len(session.problems) < SHOWN:
                _write(session, album)
            if session.problems:
                raise FolderRefused(session.problems, unchecked=session.unchecked)
            if dry_run:
                transaction.set_rollback(True)
    finally:
        album.forget_unheld()
        session.bills.forget_unheld()
    return Loaded(dict(session.written), dry_run)


def refuse_filled() -> None:
    """A load never mixes with what is there: two histories in one ledger could not be told apart or reversed."""
    there = [str(model._meta.verbose_name_plural) for model in _MUST_BE_EMPTY if model._default_manager.exists()]
    if there:
        raise Refused(
            f"This workshop is not empty (it has {', '.join(there)}), and a folder is loaded into an empty one only. "
            "Start one with `manage.py open --empty`, or name another folder in TAWERY_DATA."
        )


def _write(session: ImportSession, album: Album) -> None:
    """A file after those that it names. Most are a call of a service a row; the others need more."""
    settings.load_settings(session)
    with workshop.at_home(), settlement.once(), cost.kept_at_the_end():
        _write_events(session, album)
    settings.load_last(session)


def _write_events(session: ImportSession, album: Album) -> None:
    session.each("sheets.csv", sheets.take_over)
    session.each("label_sheets.csv", label_sheets.create)
    session.each("brought.csv", sheets.mark_one)
    settings.load_words(session)
    session.each("suppliers.csv", masters.write_supplier)
    session.each("places.csv", places.create)
    session.each("channels.csv", channels.save)
    session.each("materials.csv", masters.write_material)
    session.each("snoozes.csv", snoozes.snooze)
    recipes.load_recipes(session)
    masters.load_skins(session)
    with cost.at_once():
        _write_work(session, album)
    with cost.at_once(), lines.lines_known():
        work.load_articles(session)
    work.load_broken(session)
    work.load_regrades(session)
    batches.settle(session)
    accounts.load_headings(session)
    selling.load_selling(session)
    accounts.load_accounts(session)
    selling.complain_of_bills(session)


def _write_work(session: ImportSession, album: Album) -> None:
    """What skins went through until pieces were made of them."""
    batches.load_batches(session)
    batches.load_readings(session, album)
    batches.load_areas(session, album)
    batches.complain_of_photos(session, album)
    session.each("frames.csv", frames.build)
    orders.load(session)
    stock.load_ledger(session)
    orders.close(session)
    session.each("repairs.csv", frames.repair)
    session.each("losses.csv", losses.lose)
    work.load_labour(session)
