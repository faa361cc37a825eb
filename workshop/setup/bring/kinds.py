"""What can be brought in, and the columns of each: what they are called, what they hold, the heads that makers write over them.

All of it stands in `kinds.toml` beside this file.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path

from inventory.errors import Refused


@dataclass(frozen=True)
class Field:
    """`holds`: date, money, amount (a measure), count, text. `words`: heads it is known by. `many`: several columns make it up."""

    name: str
    label: str
    holds: str
    words: tuple[str, ...]
    needed: bool = False
    many: bool = False


@dataclass(frozen=True)
class Kind:
    """Its name is also what its rows are called."""

    name: str
    label: str
    fields: tuple[Field, ...]

    def field(self, name: str) -> Field:
        return next(field for field in self.fields if field.name == name)


def _kinds() -> dict[str, Kind]:
    told = tomllib.loads(Path(__file__).with_name("kinds.toml").read_text(encoding="utf-8"))
    return {
        name: Kind(
            name,
            about["label"],
            tuple(
                Field(**{**field, "words": tuple(" ".join(word.split()) for word in field["words"].split(","))})
                for field in about["fields"]
            ),
        )
        for name, about in told.items()
    }


KINDS = _kinds()


def kind_of(name: str) -> Kind:
    if name not in KINDS:
        raise Refused(f"{name[:40]!r} cannot be brought in; choose one of {', '.join(KINDS)}.", field="into")
    return KINDS[name]
