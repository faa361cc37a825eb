"""A row of the table: what was measured, how far it is from the bare limit and from what is asked for."""

from __future__ import annotations

import math
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
