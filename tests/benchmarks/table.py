"""A row of the table: what was measured, how far it is from the bare limit and from what is asked for."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

HEAD = f"{'what':<52}{'ours':>12}{'bare':>12}{'ratio':>9}{'at most':>17}        bare limit"


@dataclass(frozen=True)
class Case:
    """Seconds of ours and of the bare limit, which does what `limit` says; at most so many times it, and so many seconds."""

    what: str
    ours: float
    bare: float
    limit: str
    most: float | None = None
    seconds: float | None = None

    @property
    def ratio(self) -> float:
        return self.ours / self.bare if self.bare else math.inf

    @property
    def measured(self) -> bool:
        """A ratio that is no number means that something was measured over nothing."""
        return math.isfinite(self.ratio) and self.ratio > 0

    @property
    def met(self) -> bool:
        return (self.most is None or self.ratio <= self.most) and (self.seconds is None or self.ours <= self.seconds)

    @property
    def at_most(self) -> str:
        parts = [f"{self.most:.1f}×"] if self.most is not None else []
        return ", ".join([*parts, *([f"{self.seconds * 1000:.0f} ms"] if self.seconds is not None else [])])

    def line(self) -> str:
        over = "" if self.met else "over"
        return (
            f"{self.what:<52}{self.ours * 1000:>10.2f}ms{self.bare * 1000:>10.2f}ms{self.ratio:>9.2f}{self.at_most:>17}  "
            f"{over:<6}{self.limit}"
        )

    def row(self) -> str:
        """As a row of the table in docs/explanation/speed.md."""
        figures = f"{self.ours * 1000:,.2f} | {self.bare * 1000:,.2f} | {self.ratio:.2f}×"
        return f"| {self.what} | {figures} | {self.at_most or '–'} | {'met' if self.met else '**not met**'} |"


# What was promised, in the order of the table. `--write` fills in what a run has measured; a test holds the table to these names.
PROMISED = (
    *("post one use", "post twelve uses at once, a line", "load uses from a folder"),
    *("a month's use with opening", "material × month, 48 months"),
    *("Today", "the page of a material", "the page of a month"),
    "three conversions of units",
    *("check of the books", "check of the books, chain followed before"),
    *("results", "worth", "losses", "owed", "fairs", "job_new", "the worst of all other pages"),
    *("start of a web worker", "memory of a web worker (MB for ms)"),
)


def written(text: str, cases: Iterable[Case]) -> str:
    """A page with the table's rows of these cases put in."""
    rows = {case.what: case.row() for case in cases if case.what in PROMISED}
    lines = [rows.get(line.split("|")[1].strip(), line) if line.startswith("| ") else line for line in text.split("\n")]
    return "\n".join(lines)
