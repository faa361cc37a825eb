"""How a link of the chain is worked out, and how its end is written for people.

The text of a row is JSON without a space: a list of the rows that the database joins for it, each a list of whole numbers, texts,
days as 2025-03-04, moments in UTC as 2025-03-04 12:00:00.000000, and null. Which columns, in which order: `contents.py` of each
floor.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass

START = "0" * 64
SHOWN = 16
GROUP = 4
_written = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), sort_keys=True).encode


@dataclass(frozen=True)
class Head:
    """Where the chain ends: how many links it has, and the digest of the last."""

    position: int = 0
    digest: str = START

    @property
    def value(self) -> str:
        """The check value as people write it down.

        >>> Head(7, "3f2a91c077de1b02" + "0" * 48).value
        '3f2a 91c0 77de 1b02'
        """
        return shown(self.digest)


def row(cells: Iterable[object]) -> str:
    """One joined row, in one way only.

    >>> row(("use", "2025-03-04", -1500, None, {"b": "é", "a": ""}))
    '["use","2025-03-04",-1500,null,{"a":"","b":"é"}]'
    """
    return _written(list(cells))


def text(rows: Iterable[str]) -> str:
    """What a row says with all its parts.

    >>> text([row(("use", 1)), row(("use", 2))])
    '[["use",1],["use",2]]'
    """
    return f"[{','.join(rows)}]"


def digest(before: str, position: int, kind: str, row: int, said: str) -> str:
    """SHA-256 over five lines: the digest before, the position, the kind, the row's key, what it says.

    >>> digest(START, 1, "payment", 1, "[[1]]")[:16]
    '568add5afe2284c0'
    """
    return hashlib.sha256(f"{before}\n{position}\n{kind}\n{row}\n{said}".encode()).hexdigest()


def shown(found: str) -> str:
    """The first sixteen signs, in groups of four: short enough for a margin, long enough that nobody finds other books for it."""
    return " ".join(found[at : at + GROUP] for at in range(0, SHOWN, GROUP))


def counted(entries: object) -> str:
    """
    >>> counted(1), counted("12")
    ('1 entry', '12 entries')
    """
    return f"{entries} {'entry' if str(entries) == '1' else 'entries'}"


def typed(value: str) -> str:
    """A check value as somebody wrote it, down to its figures; empty where it is none.

    >>> typed(" 3F2A-91c0 77de 1b02 "), typed("3f2a"), typed("three")
    ('3f2a91c077de1b02', '', '')
    """
    plain = "".join(value.split()).replace("-", "").lower()
    return plain if SHOWN <= len(plain) <= len(START) and set(plain) <= set("0123456789abcdef") else ""
