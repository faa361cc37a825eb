"""What a file of a folder is: its columns in order, what one row is called, and which columns name it."""

from __future__ import annotations

from dataclasses import dataclass, field

from workshop.exchange.columns import Column, whole


@dataclass(frozen=True)
class Table:
    """A file: its columns in the order `save` writes them, what one row is called, and which columns name it.

    `fields` says which column a service means by a field that goes by another name there; `joint` stands between the
    parts of a name of several columns.
    """

    file: str
    noun: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()
    fields: dict[str, str] = field(default_factory=dict)
    joint: str = " v"

    def column(self, name: str | None) -> str:
        """The column that a service's field stands in, or nothing."""
        name = self.fields.get(name or "", name or "")
        return name if any(column.name == name for column in self.columns) else ""


def seq() -> Column:
    return Column("seq", whole(least=1, most=10_000_000))
