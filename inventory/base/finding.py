"""How words are looked for in the columns of a table. Knows no table."""

from typing import TypeVar

from django.db.models import Case, Model, Q, QuerySet, Value, When

HITS = 10
MOST_WORDS = 12  # each joins tables anew, and a database joins only so many
M = TypeVar("M", bound=Model)


def matching(rows: QuerySet[M], words: str, columns: tuple[str, ...]) -> QuerySet[M]:
    """The rows in which each of the first `MOST_WORDS` words stands in one of the columns, whatever its case."""
    for word in words.split()[:MOST_WORDS]:
        found = Q()
        for column in columns:
            found |= Q(**{f"{column}__icontains": word})
        rows = rows.filter(found)
    return rows


def hits(rows: QuerySet[M], words: str, columns: tuple[str, ...]) -> QuerySet[M]:
    """The first `HITS` rows that match, ordered by the first column; the one that is called just so stands before all others."""
    key = columns[0]
    called = Case(When(**{f"{key}__iexact": words}, then=Value(0)), default=Value(1))
    return matching(rows, words, columns).order_by(called, key, "pk")[:HITS]
