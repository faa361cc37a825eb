"""Each page of a workshop of many years against the same page of one such year, as its owner opens it again and again."""

from __future__ import annotations

import cProfile
import pstats
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from django.conf import settings
from django.urls import reverse

from tests.benchmarks.table import Case
from tests.benchmarks.workshops import Workshop
from tests.workshop.test_queries import FILES
from tests.workshop.test_security import NAMES, address

MOST, SECONDS = 1.3, 0.300
QUERIES, QUERIES_OF_RESULTS = 30, 90
# Those that are asked for by name come first.
NAMED = ("results", "worth", "losses", "owed", "fairs", "job_new")
# What has the most rows of its kind, where the usual address leads to something new.
LONGEST = {
    "batch": {"number": "B1"},
    "skin": {"tag": "H01"},
    "material": {"code": "SALT"},
    "article": {"number": "CUSH1"},
    "variances": {"number": "B1"},
    "steps": {"number": "B1"},
    "batch_card": {"number": "B1"},
}
APART = ("sign_out", "copy_new")
OK = 200
RUNS = 4  # the first warms up
SLOW = 0.050
WHOLE = 0.9  # what takes nearly all of a page says nothing of it
SHOWN = 5


def compare(long: Workshop, short: Workshop, *, every: bool) -> Iterator[tuple[Case, str]]:
    """A case for each page with its address, those asked for by name first, then the longest first."""
    with long.here():
        named = [(name, address(name)) for name in NAMED]
        others = [(name, address(name)) for name in NAMES if name not in (*NAMED, *APART)]
        longest = [(" ".join([name, *keys.values()]), reverse(name, kwargs=keys)) for name, keys in LONGEST.items()]
    for name, path in named:
        if case := _case(name, path, long, short):
            yield case, path
    yield _queries("queries of results", named[0][1], long, short, QUERIES_OF_RESULTS), named[0][1]
    if every:
        found = [(case, path) for name, path in others + longest if (case := _case(name, path, long, short))]
        yield from sorted(found, key=lambda pair: -pair[0].ours)
        worst, path = max(found, key=lambda pair: pair[0].ratio)
        yield replace(worst, what="the worst of all other pages"), path
        name = "queries of the page with most of all others"
        every_other = [path for _, path in named[1:]] + [path for _, path in found]
        most = [(_queries(name, path, long, short, QUERIES), path) for path in every_other if _is_counted(path)]
        yield max(most, key=lambda pair: pair[0].ours)


def _case(name: str, path: str, long: Workshop, short: Workshop) -> Case | None:
    """By turns, and the least of several, since what disturbs a run only makes it longer. Nothing where there is no page."""
    if long.get(path)[0].status_code != OK or short.get(path)[0].status_code != OK:
        return None
    turns = [(long.get(path)[1], short.get(path)[1]) for _ in range(RUNS - 1)]
    ours, bare = (min(times) for times in zip(*turns, strict=True))
    return Case(name, ours, bare, path, MOST, SECONDS)


def _is_counted(path: str) -> bool:
    """Results have a bound of their own, and a check of the books works everything out anew; a file is no page."""
    return not path.startswith(("/books/results/", "/books/check/")) and not path.endswith(FILES)


def _queries(what: str, path: str, long: Workshop, short: Workshop, most: int) -> Case:
    """How many statements the page sends when it is opened for the second time and later."""
    return Case(what, long.asked(path), short.asked(path), path, ceiling=most, unit="queries")


def profiled(here: Workshop, path: str) -> Iterator[str]:
    """The functions of the program that a page spends most of its time in, but for those that it spends all of it in."""
    profile = cProfile.Profile()
    with here.here():
        profile.runcall(here.browser.get, path)
    stats = pstats.Stats(profile)
    own = [
        (cumulated, calls, f"{Path(file).relative_to(settings.BASE_DIR)}:{line} {function}")
        for (file, line, function), (_, calls, _, cumulated, _) in stats.stats.items()  # type: ignore[attr-defined]
        if file.startswith(str(settings.BASE_DIR)) and ".venv" not in file and "/tests/" not in file
    ]
    whole = stats.total_tt  # type: ignore[attr-defined]
    for cumulated, calls, name in sorted((each for each in own if each[0] < WHOLE * whole), reverse=True)[:SHOWN]:
        yield f"    {cumulated / whole:>4.0%} {calls:>7,} calls  {name}"
