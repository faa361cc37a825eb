"""Remembering spreadsheets: what their columns meant, which rows came, the file that waits for its answers."""

import hashlib
import json
import secrets
from collections.abc import Iterable, Mapping
from datetime import date, timedelta

from django.utils import timezone

from inventory.base.services import service
from inventory.base.sheets.models import BroughtRow, SheetHeads, WaitingSheet
from inventory.errors import Refused
from inventory.permits import Act, Person, author

WAITS = timedelta(days=1)


def fingerprint(*parts: object) -> str:
    """SHA-256 of plain values, in hexadecimal."""
    return hashlib.sha256(json.dumps([str(part) for part in parts]).encode()).hexdigest()


@service(Act.GOODS)
def remember(*, heads: str, answers: Mapping[str, str], by: Person = None) -> SheetHeads:
    """Keep what was answered about these heads, in place of what was answered before."""
    said = json.dumps(dict(answers), ensure_ascii=False)
    row, _ = SheetHeads.objects.update_or_create(heads=heads, defaults={"answers": said, "written_by": author(by)})
    return row


@service(Act.GOODS)
def take_over(*, heads: str, answers: str, by: Person = None) -> SheetHeads:
    """What was remembered before it came here (a folder that is loaded)."""
    try:
        found = json.loads(answers)
    except ValueError:
        found = None
    if not isinstance(found, dict):
        raise Refused("The answers are a list in braces, as they were saved. Leave the row out.", field="answers")
    return remember(heads=heads, answers={str(name): str(value) for name, value in found.items()}, by=by)


@service(Act.GOODS)
def mark(*, rows: Iterable[str], on: date, by: Person = None) -> None:
    """Keep which rows came, so that none comes twice. Two at once: the second is refused by the database, with all it wrote."""
    BroughtRow.objects.bulk_create([BroughtRow(row=row, on=on) for row in rows], batch_size=500)


@service(Act.GOODS)
def mark_one(*, row: str, on: date, by: Person = None) -> None:
    """A row that was brought in before it came here (a folder that is loaded)."""
    mark(rows=[row], on=on, by=by)


@service(Act.GOODS)
def wait(*, name: str, content: bytes, by: Person = None) -> WaitingSheet:
    """Keep a file until its questions are answered; older ones that nobody answered are forgotten."""
    WaitingSheet.objects.filter(written_at__lt=timezone.now() - WAITS).delete()
    WaitingSheet.objects.filter(whose=author(by)).delete()
    # The name is only shown: no file is ever opened by it.
    shown = "".join(sign for sign in name.replace("\\", "/").rpartition("/")[2] if sign.isprintable())[:80]
    return WaitingSheet.objects.create(
        key=secrets.token_hex(16), name=shown or "spreadsheet", content=content, whose=author(by)
    )


def waiting(key: str, by: Person) -> WaitingSheet:
    """The file that somebody sent in; refused once it is gone, and to anybody else."""
    row = WaitingSheet.objects.filter(key=key, whose=author(by), written_at__gte=timezone.now() - WAITS).first()
    if row is None:
        raise Refused(
            "That spreadsheet no longer waits: it was brought in, or sent in more than a day ago. Send it in again."
        )
    return row


@service(Act.GOODS)
def forget(*, key: str, by: Person = None) -> None:
    WaitingSheet.objects.filter(key=key, whose=author(by)).delete()
