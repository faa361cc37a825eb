"""Follows the chain: where it ends, and whether every row still says what its link says."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from itertools import islice

from django.db import connection

from inventory.base.chain import kinds, rules
from inventory.base.chain.models import ChainLink
from inventory.base.chain.rules import START, Head

_LINKS = 'SELECT position, kind, "row", digest FROM inventory_chainlink WHERE position >= %s ORDER BY position LIMIT %s'
AT_ONCE = 2000
MOST = 50


def head() -> Head:
    """Where the chain ends now; before the first link, nowhere."""
    last = ChainLink.objects.order_by("-position").values_list("position", "digest").first()
    return Head(*last) if last else Head()


def came_from() -> Head | None:
    """The end of the books that these were loaded from, where their folder named it."""
    first = ChainLink.objects.filter(position=0).exclude(kind=ChainLink.ADOPT).first()
    return Head(first.row, first.digest) if first else None


def found(value: str) -> Head | None:
    """The link that a check value, as somebody kept it, is the value of; None where these books never had it."""
    plain = rules.typed(value)
    link = ChainLink.objects.filter(digest__startswith=plain).order_by("position").first() if plain else None
    return Head(link.position, link.digest) if link else None


def holds(end: Head) -> bool:
    """Whether the chain still goes through this link."""
    return ChainLink.objects.filter(position=end.position, digest=end.digest).exclude(position=0).exists()


def findings(after: int = 0) -> Iterator[str]:
    """Every link that its row, or the chain, does not bear out, and every row without a link; at most `MOST` are named.

    `after`: links up to that one were followed before, and are taken as they stand.
    """
    differing = _differing(after)
    yield from islice(differing, MOST)
    if more := sum(1 for _ in differing):
        yield f"The chain: {more} more entries are not as they were written."


def _differing(after: int) -> Iterator[str]:
    if ChainLink.objects.filter(position=0, kind=ChainLink.ADOPT).exists():
        yield "The chain: the upgrade that begins it was cut short. Start the program again, or run manage.py migrate."
        return
    yield from _followed(after)
    for kind in kinds.known():
        for row in unlinked(kind):
            yield f"{_name(kind, row)} is not in the chain: it was not written by this program."


def _followed(after: int) -> Iterator[str]:
    before = ChainLink.objects.filter(position=after).values_list("digest", flat=True).first() or START
    expected, follows = after + 1, rules.digest
    while links := _links(expected):
        said = _said(links)
        for position, name, row, digest in links:
            if position != expected:
                yield f"The chain: {_some(expected, position - 1)} missing before {_worded(name, row)}."
            text = said[name].get(row)
            if text is None:
                yield f"{_worded(name, row)} is gone; link {position} of the chain names it."
            elif follows(before, position, name, row, text) != digest:
                yield f"{_worded(name, row)} is not as it was written, or link {position} of the chain was changed."
            before, expected = digest, position + 1


def _links(first: int) -> list[tuple[int, str, int, str]]:
    with connection.cursor() as cursor:
        cursor.execute(_LINKS, [first, AT_ONCE])
        return list(cursor.fetchall())


def _said(links: list[tuple[int, str, int, str]]) -> dict[str, dict[int, str]]:
    keys: dict[str, list[int]] = defaultdict(list)
    for _, name, row, _ in links:
        keys[name].append(row)
    return {name: kind.said(rows) if (kind := kinds.named(name)) else {} for name, rows in keys.items()}


def unlinked(kind: kinds.Kind) -> list[int]:
    """The keys of its rows that no link names, in order."""
    rows = kind.model._default_manager.order_by("pk")
    return list(
        rows.exclude(pk__in=ChainLink.objects.filter(kind=kind.name).values("row")).values_list("pk", flat=True)
    )


def _some(first: int, last: int) -> str:
    return f"link {first} is" if first == last else f"links {first} to {last} are"


def _worded(name: str, row: int) -> str:
    kind = kinds.named(name)
    return _name(kind, row) if kind else f"{name} {row}"


def _name(kind: kinds.Kind, row: int) -> str:
    there = kind.model._default_manager.filter(pk=row).first()
    word = str(kind.model._meta.verbose_name).capitalize()
    return f"{word} {row} ({there})" if there else f"{word} {row}"
