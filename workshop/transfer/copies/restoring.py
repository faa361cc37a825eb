"""Putting a copy back: unpacked and proved in a folder beside, then swapped by renaming. What stood there keeps a dated name.

A note in the new folder, written when all is proved, lets the next opening end a swap that was killed between two names.
"""

import json
import os
import shutil
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import connection
from django.utils import timezone

from inventory.errors import Refused
from inventory.permits import Act, Person, require
from workshop.transfer import aside
from workshop.transfer.copies import archive, databases, rules, shelf

NOTE = "restored.json"
WORD = "restoring"
STAYS = ("copies", "papers", "fonts", shelf.STATE)  # of the folder that stands there; no copy holds them
OWN = (archive.SQLITE, archive.KEY, *archive.STORES)


@dataclass(frozen=True)
class Restored:
    """Where the workshop is now, of when it is, and where what stood there lies; empty where nothing did."""

    folder: str
    made_at: str
    before: str
    rows: int
    differences: int


def restore(file: Path, *, into: Path | None = None, differ: bool = False, by: Person = None) -> Restored:
    """Put a copy back. Refuses in words, before anything is changed, what is no good copy or is in use. `differ`: its books need
    not agree, where it is the only copy."""
    require(by, Act.SETUP)
    target = (into or Path(settings.DATA_DIR)).resolve()
    _refuse_unfit(target, asked=into is not None)
    finish(target)
    stamp = rules.stamp(timezone.now())
    with aside.in_use(target, alone=True), archive.opened(file) as copy:
        manifest = copy.manifest
        if manifest.database != databases.kind():
            there = "a PostgreSQL database" if manifest.database == archive.POSTGRESQL else "an SQLite file"
            raise Refused(
                f"{file} holds {there}, and DATABASE_URL names another kind. Set it as it was when the copy was made."
            )
        try:
            with aside.folder_for(target, WORD) as new:
                copy.unpack(new)
                databases.look_at(new / manifest.database, manifest.rows)
                if manifest.database == archive.SQLITE:
                    found = databases.prove(new, differ=differ)
                    before = _commit(new, target, stamp)
                else:
                    databases.clear_left()
                    with databases.beside(new / manifest.database, stamp, manifest.rows) as name:
                        found = databases.prove(new, name, differ=differ)
                        (new / manifest.database).unlink()
                        before = _commit(new, target, stamp, name)
        except OSError as fault:
            raise Refused(
                f"{target} cannot be put back: {fault.strerror}. What stood there is as it was, or stands beside it. "
                "Name another folder with --into."
            ) from None
    return Restored(str(target), manifest.made.isoformat(), before, sum(manifest.rows.values()), found)


def finish(target: Path) -> None:
    """End a swap that was killed after what stood there had left its name; before that moment nothing had changed."""
    for new in aside.beside(target, WORD):
        with suppress(OSError, ValueError, KeyError):
            told = json.loads((new / NOTE).read_text("utf-8"))
            if told["into"] != str(target):
                continue
            if (told["database"] and not databases.exists(told["database"])) or (
                not told["database"] and not target.exists()
            ):
                _swap(new, target, Path(told["before"]))


def _commit(new: Path, target: Path, stamp: str, name: str = "") -> str:
    """From the note on, a kill leaves the old or, at the next opening, the new."""
    stood = target.is_dir() and any(target.iterdir())
    before = target.with_name(f"{target.name}-before-{stamp}")
    if stood:
        _carry(target, new)
    aside.write(new / NOTE, json.dumps({"into": str(target), "before": str(before), "database": name}).encode())
    aside.sync_tree(new)
    connection.close()
    if name:
        databases.swap(name, stamp)
    _swap(new, target, before)
    return str(before) if stood else ""


def _swap(new: Path, target: Path, before: Path) -> None:
    if target.is_dir() and not any(target.iterdir()):
        target.rmdir()
    if target.exists():
        target.rename(before)
        aside.sync_folder(target.parent)
    try:
        new.rename(target)
    except OSError:
        if before.exists() and not target.exists():
            before.rename(target)
        raise
    aside.sync_folder(target.parent)
    (target / NOTE).unlink(missing_ok=True)


def _carry(old: Path, new: Path) -> None:
    """What is no part of a copy goes along, by a second name where the disk knows that: the copies above all."""
    for name in STAYS:
        if (old / name).is_dir():
            shutil.copytree(old / name, new / name, copy_function=_link, dirs_exist_ok=True)
        elif (old / name).is_file():
            shutil.copy2(old / name, new / name)


def _link(source: str, target: str) -> None:
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)


def _refuse_unfit(target: Path, *, asked: bool) -> None:
    if target.exists() and not target.is_dir():
        raise Refused(f"{target} is a file. Name a folder.")
    if not target.parent.is_dir():
        raise Refused(f"There is no folder {target.parent} to put {target.name} in. Make it first.")
    filled = target.is_dir() and any(target.iterdir())
    if asked and filled and not any((target / name).exists() for name in OWN):
        raise Refused(f"{target} holds other things than a workshop. Name a folder that is new or empty.")
    if target.is_mount():
        raise Refused(f"{target} is a disk of its own and cannot be renamed. Name a folder in it with --into.")
