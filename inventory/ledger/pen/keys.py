"""Keys of rows before they are written: whoever knows them can send a posting and all that hangs on it on one trip."""

from collections.abc import Iterable, Mapping
from functools import cache

from django.db import connection

Many = Mapping[str, int]
# Tables of ours, so their names stand in the text.
_EMBEDDED = "SELECT name, seq FROM sqlite_sequence WHERE name IN ({})"
_SERVER = "SELECT '{0}', nextval('{0}_id_seq') FROM generate_series(1, %s)"


def taking(many: Many) -> tuple[str, list[int]]:
    """The statement that takes so many keys of each table. A server gives them to nobody else, though nothing be written; the
    embedded database has one writer, who has begun, and says which it gave last."""
    return _statement(connection.vendor, tuple(many)), [] if connection.vendor == "sqlite" else list(many.values())


def taken(answer: Iterable[tuple[str, int]], many: Many) -> dict[str, list[int]]:
    """The keys of each table in ascending order, from what that statement answers."""
    if connection.vendor == "sqlite":
        last = dict(answer)
        return {table: [last.get(table, 0) + 1 + at for at in range(wanted)] for table, wanted in many.items()}
    found: dict[str, list[int]] = {table: [] for table in many}
    for table, key in answer:
        found[table].append(key)
    return {table: sorted(keys) for table, keys in found.items()}


@cache
def _statement(vendor: str, tables: tuple[str, ...]) -> str:
    if vendor == "sqlite":
        return _EMBEDDED.format(", ".join(f"'{table}'" for table in tables))
    return " UNION ALL ".join(_SERVER.format(table) for table in tables)
