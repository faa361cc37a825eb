"""What is killed: how it begins, what it does, and how to tell the old from the new. Each step runs in a child of its own."""

from __future__ import annotations

import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection

from costing.report.audit import selectors as audit
from inventory.ledger import services as ledger
from inventory.models import Kind, Material, Movement, Posting, Skin
from tests import factories
from tests.workshop.transfer import folders
from tests.workshop.transfer.copies.killing import killed_after
from workshop import bootstrap as opening, transfer
from workshop.transfer import manifest, saving
from workshop.transfer.copies import archive, databases, restoring, services as copies
from workshop.transfer.format.rows import read_folder

BEFORE = ("inventory", "0031")  # a step that fills a table follows it
DAY = date(2025, 12, 30)


@dataclass(frozen=True)
class Case:
    """`anew` lays the beginning, `act` is killed, `look` says old, new, or what is wrong. `lasts`: when an endless act is stopped;
    `share`: how often it is killed beside the others."""

    name: str
    anew: Callable[[], None]
    act: Callable[[], object]
    look: Callable[[], str]
    told: Path
    lasts: float | None = None
    share: int = 4

    def looked(self) -> str:
        def tell() -> None:
            self.told.write_text(self.look())

        self.told.unlink(missing_ok=True)
        try:
            killed_after(None, tell)
        except AssertionError as fault:
            return str(fault)
        return self.told.read_text()


def every(folder: Path) -> list[Case]:
    """The cases on a small workshop in the data folder; what each begins with is made once."""
    shed, kept, told = Path(settings.DATA_DIR), folder / "kept", folder / "told"
    kept.mkdir()
    csv = folders.write(folder / "csv")
    opening._cut_type = lambda: None  # type: ignore[assignment]  # seconds that leave nothing in the books
    databases.prove = lambda *_, **__: 0  # type: ignore[assignment]  # two commands of their own that change nothing here
    stages = {
        "empty": lambda: opening.prepare(empty=True),
        "small": lambda: transfer.load(csv),
        "copy": lambda: copies.make(target=kept / "copy.zip"),
        "older": _back,
    }
    for stage, make in stages.items():
        killed_after(None, make)
        shutil.copytree(shed, kept / stage)
        if stage == "copy":
            shutil.rmtree(shed)
            shutil.copytree(kept / "small", shed)
    acknowledged, saved, copy = folder / "acknowledged", folder / "saved", folder / "copy.zip"

    def begin(stage: str) -> Callable[[], None]:
        def anew() -> None:
            for each in (shed, saved):
                shutil.rmtree(each, ignore_errors=True)
            for file in (acknowledged, copy):
                file.unlink(missing_ok=True)
            for left in folder.glob(".*"):
                shutil.rmtree(left) if left.is_dir() else left.unlink()
            if stage:
                shutil.copytree(kept / stage, shed)

        return anew

    def post() -> None:
        salt = factories.material("KILLED", "g", on_hand=1_000_000, value=10, on=DAY)
        with acknowledged.open("ab", buffering=0) as out:
            while True:
                made = ledger.issue(kind=Kind.USE, on=DAY, draws=[ledger.Draw(salt, Decimal(1))])
                out.write(f"{made.pk}\n".encode())

    def posted() -> str:
        said = acknowledged.read_text().split() if acknowledged.exists() else []
        lost = set(map(int, said)) - set(Posting.objects.filter(movements__isnull=False).values_list("pk", flat=True))
        return f"lost {sorted(lost)}" if lost else _clean("new" if said else "old")

    def loaded() -> str:
        return _clean("new" if Movement.objects.exists() else "old")

    def restored() -> str:
        restoring.finish(shed)
        return _clean("new" if not Material.objects.filter(code="SINCE").exists() else "old")

    def since() -> None:
        begin("small")()
        killed_after(None, lambda: factories.material("SINCE"))

    def save_seen() -> str:
        if not saved.is_dir() or not any(saved.iterdir()):
            return "old"
        manifest.refuse_incomplete(saved)
        return "new" if (saved / manifest.NAME).exists() and "skins.csv" in read_folder(saved) else "half a folder"

    def copy_seen() -> str:
        if not copy.exists():
            return "old"
        with archive.opened(copy) as found:
            found.look()
        return "new"

    def opened() -> str:
        opening.prepare(empty=True)
        return _clean("new")

    def migrated() -> str:
        call_command("migrate", verbosity=0)
        return _clean("new")

    return [
        Case("post", begin("small"), post, posted, told, lasts=1.5),
        Case("load", begin("empty"), lambda: transfer.load(csv), loaded, told),
        Case("save", begin("small"), lambda: saving.save(saved), save_seen, told),
        Case("backup", begin("small"), lambda: copies.make(target=copy), copy_seen, told),
        Case("restore", since, lambda: restoring.restore(kept / "copy.zip"), restored, told),
        Case("first start", begin(""), lambda: opening.prepare(empty=True), opened, told, share=1),
        Case("migration", begin("older"), lambda: call_command("migrate", verbosity=0), migrated, told, share=2),
    ]


def _back() -> None:
    """The tables as an earlier program had them, with what it had entered."""
    call_command("migrate", *BEFORE, verbosity=0)


def _clean(word: str) -> str:
    """The word, where the database is sound, every row of the small workshop or none is there, and its books are clean."""
    connection.close()
    with closing(sqlite3.connect(databases.file() or os.devnull)) as found:
        sound = found.execute("PRAGMA integrity_check").fetchone()[0]
    wrong = [] if sound == "ok" else [f"damaged: {sound}"]
    wrong += audit.findings()
    if Skin.objects.exists() is not Movement.objects.exists():
        wrong.append("a part of the workshop is there")
    return "; ".join(wrong) or word
