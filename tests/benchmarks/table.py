"""A row of the table: what was measured, how far it is from the bare limit and from what is asked for."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

HEAD = f"{'what':<56}{'ours':>14}{'bare':>14}{'ratio':>9}{'limit':>19}        bare limit"
SERVER = " on PostgreSQL"


def named(what: str, vendor: str) -> str:
    """A row of its own for each database, so that what one run has measured is not taken for the other's."""
    return what if vendor == "sqlite" else what + SERVER


@dataclass(frozen=True)
class Case:
    """Ours and the bare limit, which does what `limit` says: in seconds, or in a `unit` that is named.

    At most so many times it and so much (`ceiling`), or, where more is better, at `least` so many times it."""

    what: str
    ours: float
    bare: float
    limit: str
    most: float | None = None
    ceiling: float | None = None
    least: float | None = None
    unit: str = ""

    @property
    def ratio(self) -> float:
        return self.ours / self.bare if self.bare else math.inf

    @property
    def measured(self) -> bool:
        """A ratio that is no number means that something was measured over nothing."""
        return math.isfinite(self.ratio) and self.ratio > 0

    @property
    def met(self) -> bool:
        return (
            (self.most is None or self.ratio <= self.most)
            and (self.least is None or self.ratio >= self.least)
            and (self.ceiling is None or self.ours <= self.ceiling)
        )

    @property
    def bound(self) -> str:
        parts = [f"≤ {self.most:.1f}×"] if self.most is not None else []
        parts += [f"≥ {self.least:.1f}×"] if self.least is not None else []
        return ", ".join([*parts, *([f"≤ {self._told(self.ceiling, 0)}"] if self.ceiling is not None else [])])

    def _told(self, figure: float, places: int = 2) -> str:
        return f"{figure:,.{places}f} {self.unit}" if self.unit else f"{figure * 1000:,.{places}f} ms"

    def line(self) -> str:
        over = "" if self.met else "missed"
        figures = f"{self._told(self.ours):>14}{self._told(self.bare):>14}{self.ratio:>9.2f}"
        return f"{self.what:<56}{figures}{self.bound:>19}  {over:<8}{self.limit}"

    def row(self) -> str:
        """As a row of the table in docs/explanation/speed.md."""
        figures = f"{self._told(self.ours)} | {self._told(self.bare)} | {self.ratio:.2f}×"
        return f"| {self.what} | {figures} | {self.bound or '–'} | {'met' if self.met else '**not met**'} |"


# What was promised, in the order of the table. `--write` fills in what a run has measured; a test holds the table to these names.
PROMISED = (
    *(name + where for where in ("", SERVER) for name in ("post one use", "post twelve uses at once, a line")),
    *("eight writers against one", "eight writers against one" + SERVER),
    *("uses given their cost as a set, a row", "load uses from a folder, a row", "load a whole mixed folder, a row"),
    *("a month's use with opening", "material × month, 48 months"),
    *("Today", "the page of a material", "the page of a month"),
    "three conversions of units",
    *("check of the books", "check of the books, chain followed before"),
    *("results", "worth", "losses", "owed", "fairs", "job_new", "the worst of all other pages"),
    *("queries of results", "queries of the page with most of all others"),
    *("start of a web worker", "memory of a web worker"),
)
PAGE = Path(__file__).resolve().parents[2] / "docs" / "explanation" / "speed.md"


def write(cases: Iterable[Case]) -> None:
    """What was measured goes into the page; what was not stays there as it is."""
    PAGE.write_text(written(PAGE.read_text("utf-8"), cases), encoding="utf-8")


def written(text: str, cases: Iterable[Case]) -> str:
    """A page with the table's rows of these cases put in."""
    rows = {case.what: case.row() for case in cases if case.what in PROMISED}
    lines = [rows.get(line.split("|")[1].strip(), line) if line.startswith("| ") else line for line in text.split("\n")]
    return "\n".join(lines)
