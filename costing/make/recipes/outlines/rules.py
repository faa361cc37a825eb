"""Outlines of recipes, common practice without a source: steps in their order, what goes in, and no amount of anything.

Owns reading `outlines.toml` and finding its materials among those of a shelf. Must not hold an amount: those are the maker's.
"""

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, Protocol, TypeVar
from urllib.parse import urlencode


class OnShelf(Protocol):
    """A material as far as an outline looks at it."""

    @property
    def name(self) -> str: ...
    @property
    def substance(self) -> str: ...


M = TypeVar("M", bound=OnShelf)


@dataclass(frozen=True)
class Ingredient:
    """What goes in, and nothing of how much. `day` counts from the first of the step that `goes_in` names; `unit` and `code`
    are offered where the material is not on the shelf yet."""

    material: str
    code: str
    unit: str
    basis: str
    goes_in: str
    substance: str = ""
    day: int | None = None
    at_end: bool = False
    how: str = ""

    @property
    def query(self) -> str:
        """What the page of a new material is opened with."""
        return urlencode({"name": self.material, "code": self.code, "unit": self.unit, "substance": self.substance})

    def among(self, shelf: Iterable[M]) -> M | None:
        """The material of the shelf that is meant: of the exact substance, or, where it is none, of the same name.

        Another substance of the same family is never taken: what is sold as alum differs by weight.
        """
        if self.substance:
            return next((row for row in shelf if row.substance == self.substance), None)
        return next((row for row in shelf if row.name.casefold() == self.material.casefold()), None)


@dataclass(frozen=True)
class Outline:
    """`steps`: the entries of a row of steps by name; days are suggestions. `fits`: for which skins it is commonly used."""

    slug: str
    title: str
    fits: str
    method: str
    code: str
    about: str
    lines: tuple[Ingredient, ...]
    steps: tuple[Mapping[str, Any], ...]

    @property
    def days(self) -> int:
        """From the first step to the last, nothing late."""
        return sum(step.get("wait_days", 0) + step.get("lasts_days", 0) for step in self.steps)

    @property
    def materials(self) -> tuple[Ingredient, ...]:
        """Each material once, in its order."""
        return tuple({line.material: line for line in self.lines}.values())

    def missing(self, shelf: Iterable[OnShelf]) -> list[Ingredient]:
        """The materials that the shelf does not know."""
        known = list(shelf)
        return [line for line in self.materials if line.among(known) is None]


@cache
def outlines() -> Mapping[str, Outline]:
    """Every outline by its slug, in the order of the file.

    >>> outlines()["small-fur"].title
    'Small fur, salt and acid pickle'
    """
    found = tomllib.loads((Path(__file__).parent / "outlines.toml").read_text("utf-8"))["outline"]
    return MappingProxyType({one["slug"]: _outline(**one) for one in found})


def _outline(*, lines: list[dict[str, Any]], steps: list[dict[str, Any]], **head: str) -> Outline:
    return Outline(
        lines=tuple(Ingredient(**line) for line in lines), steps=tuple(MappingProxyType(step) for step in steps), **head
    )
