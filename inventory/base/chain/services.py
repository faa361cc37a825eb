"""Adds links: what a service wrote, at its very end, in its transaction. Nothing else may write a link.

A link stands on the one before it, so two writers must not add at once. The embedded database has one writer anyway; elsewhere
the table of links is held until the transaction ends. It is held last of all and only for a moment; what calls several services
in one transaction says so (`together`), or it would hold the chain while it waits for a shelf, and somebody the other way round.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Any

from django.db import connection, models, transaction
from django.db.backends.utils import CursorWrapper
from django.db.models.signals import post_save

from inventory.base.chain import kinds, rules
from inventory.base.chain.models import ChainLink
from inventory.base.chain.rules import Head
from inventory.base.chain.selectors import unlinked

AT_ONCE = 2000
Noted = dict[tuple[str, int], str | None]
_noted: ContextVar[Noted | None] = ContextVar("rows to be linked", default=None)
_LOCK = "LOCK TABLE inventory_chainlink IN SHARE ROW EXCLUSIVE MODE"
_LAST = "SELECT position, digest FROM inventory_chainlink ORDER BY position DESC LIMIT 1"
_ADD = 'INSERT INTO inventory_chainlink (position, kind, "row", digest) VALUES '
_LINK = "(%s, %s, %s, %s)"
# `rules.digest` of the row after the last link, worked out where that stands, if there is a link, and the row in the table named.
_ADD_TOLD = """
INSERT INTO inventory_chainlink (position, kind, "row", digest)
SELECT position + 1, %s, %s,
  encode(sha256(convert_to(concat_ws(E'\\n', digest, position + 1, %s, %s, %s), 'UTF8')), 'hex')
FROM inventory_chainlink WHERE EXISTS (SELECT 1 FROM {} WHERE id = %s) ORDER BY position DESC LIMIT 1
"""


@contextmanager
def together() -> Iterator[None]:
    """One transaction; what was written in it is linked at its end, in the order in which it was written."""
    with transaction.atomic():
        if _noted.get() is not None:
            yield
            return
        noted: Noted = {}
        held = _noted.set(noted)
        try:
            yield
        finally:
            _noted.reset(held)
        if noted and not connection.needs_rollback:
            _add(noted)


def made(row: models.Model) -> None:
    """For `service`: a row that it made, of a kind that may be written past `save()`."""
    kind = kinds.of(type(row))
    if kind is not None and kind.by_sql:
        note(type(row), [row.pk])


def note(model: type[models.Model], keys: Iterable[int]) -> None:
    """Rows that the service at work wrote. Outside of any they stay without a link, and the check of the books says so."""
    kind, noted = kinds.of(model), _noted.get()
    if kind is not None and noted is not None:
        for key in keys:
            noted.setdefault((kind.name, key))


def told(row: models.Model, said: str) -> None:
    """A row whose writer knows already all that it says for good, in the words that would be read at the end."""
    kind, noted = kinds.of(type(row)), _noted.get()
    if kind is not None and noted is not None:
        noted[kind.name, row.pk] = said


def chained(every: Iterable[kinds.Kind]) -> None:
    """From here on rows of these kinds are linked when they are saved for the first time."""
    every = list(every)
    kinds.register(every)
    for kind in every:
        if not kind.by_sql:
            post_save.connect(_saved, sender=kind.model, dispatch_uid=f"chain of {kind.name}")


def _saved(sender: type[models.Model], instance: models.Model, created: bool, **_signal: Any) -> None:
    if created:
        note(sender, [instance.pk])


@transaction.atomic
def adopt() -> None:
    """After each `migrate`: while the mark of the upgrade that brought the chain stands, link what was written before, by kind, in
    the order of the keys, and take the mark away. Without it nothing is done: a chain that is gone later is not made good."""
    mark = ChainLink.objects.select_for_update().filter(position=0, kind=ChainLink.ADOPT)
    if not mark:
        return
    for kind in kinds.known():
        _add(dict.fromkeys((kind.name, key) for key in unlinked(kind)))
    mark.delete()


def come_from(old: Head) -> None:
    """For a load, before anything is written: the books stand on the end of those that the folder was saved from. What began
    already (an empty workshop whose books were closed) goes on as it began."""
    if ChainLink.objects.exists():
        return
    ChainLink.objects.create(position=0, kind="folder", row=old.position, digest=old.digest)


def _add(noted: Noted) -> None:
    rows = list(noted.items())
    if len(rows) == 1 and _add_told(*rows[0]):
        return
    for at in range(0, len(rows), AT_ONCE):
        _add_some(rows[at : at + AT_ONCE])


def _add_told(key: tuple[str, int], text: str | None) -> bool:
    """One row that is told already, on a server, where everybody who wants to add waits for each trip: its link in one message
    behind the lock. False, and nothing is written, where it cannot be."""
    (name, row), kind = key, kinds.named(key[0])
    beside = connection.settings_dict["OPTIONS"].get("server_side_binding")  # values then do not stand in the text
    if text is None or kind is None or connection.vendor != "postgresql" or beside:
        return False
    with connection.cursor() as cursor:
        cursor.execute(f"{_LOCK}; {_ADD_TOLD.format(kind.table)}", [name, row, name, row, text, row])
        cursor.nextset()
        return bool(cursor.rowcount == 1)


def _fetched(cursor: CursorWrapper, statements: list[tuple[str, list[int]]]) -> list[list[tuple[Any, ...]]]:
    """What each statement reads. Elsewhere than on the embedded database all go in one message, behind the lock; each has its own
    view of what is committed by then."""
    found = []
    if connection.vendor == "sqlite":
        for statement, keys in statements:
            cursor.execute(statement, keys or None)
            found.append(cursor.fetchall())
        return found
    cursor.execute("; ".join([_LOCK, *(statement % tuple(keys) for statement, keys in statements)]))
    while cursor.nextset():
        found.append(cursor.fetchall())
    return found


def _add_some(rows: list[tuple[tuple[str, int], str | None]]) -> None:
    """What was taken back again in a part of the transaction is not there any more, and is passed over."""
    known = dict(rows)
    keys: dict[tuple[str, bool], list[int]] = defaultdict(list)
    for (name, row), text in rows:
        keys[name, text is None].append(row)
    touched = [(kind, unread) for name, unread in keys if (kind := kinds.named(name))]
    asked = [
        (kind.statement(len(held)) if unread else kind.presence(len(held)), held)
        for kind, unread in touched
        for held in [keys[kind.name, unread]]
    ]
    links = []
    with connection.cursor() as cursor:
        last, *read = _fetched(cursor, [(_LAST, []), *asked])
        said: dict[tuple[str, int], str | None] = {}
        for (kind, unread), found in zip(touched, read, strict=True):
            told = kind.told(found) if unread else {row: known[kind.name, row] for (row,) in found}
            said.update(((kind.name, row), text) for row, text in told.items())
        position, before = last[0] if last else (0, rules.START)
        for name, row in known:
            if (text := said.get((name, row))) is not None:
                position += 1
                before = rules.digest(before, position, name, row, text)
                links.append((position, name, row, before))
        if links:
            cursor.execute(_ADD + ", ".join([_LINK] * len(links)), [value for link in links for value in link])
