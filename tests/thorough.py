"""How far the tests look: quickly between changes, thoroughly (TAWERY_THOROUGH=1, as `.ci/run` sets it) before one is taken in."""

from __future__ import annotations

import os
from collections import defaultdict
from collections.abc import Iterable
from zlib import crc32

import pytest

THOROUGH = os.environ.get("TAWERY_THOROUGH") == "1"


def by_lot(cases: Iterable[str], number: int) -> set[str]:
    """So many of the cases, by a lot that falls the same every time: taken in turn, cases of two parameters would be all of one.

    >>> by_lot(["de-label", "fr-label", "de-card", "fr-card"], 2) == by_lot(["fr-card", "de-card", "fr-label", "de-label"], 2)
    True
    >>> len(by_lot(["de-label", "fr-label", "de-card"], 2)), by_lot(["one"], 2)
    (2, {'one'})
    """
    return set(sorted(cases, key=lambda case: (crc32(case.encode()), case))[:number])


def left_out(items: Iterable[pytest.Item]) -> set[pytest.Item]:
    """What a quick run does not ask: what is marked `thorough`, and of what is marked `thorough(but=n)` all but n of its cases."""
    marked: defaultdict[tuple[str, int], dict[str, pytest.Item]] = defaultdict(dict)
    for item in items:
        if mark := item.get_closest_marker("thorough"):
            marked[item.nodeid.partition("[")[0], mark.kwargs.get("but", 0)][item.nodeid] = item
    return {cases[name] for (_, number), cases in marked.items() for name in cases.keys() - by_lot(cases, number)}
