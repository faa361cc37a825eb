"""The chain of the books as the command and the page tell it: where it ends, where it came from, whether it knows a value."""

from collections.abc import Iterator

from inventory.base.chain import rules, selectors as chain
from inventory.base.chain.rules import Head
from inventory.errors import Refused
from workshop.answers.plain import Shape

UNKNOWN = (
    "These books do not know that check value. What was written before it was changed, or it is the value of other books: "
    "compare with a copy from that time."
)


def chain_shape(was: str | None) -> Shape:
    """`was`: a check value that somebody kept, to be looked for."""
    head, old = chain.head(), chain.came_from()
    asked = None if was is None else {"value": was, **_looked_up(was, head)}
    return {"check_value": _told(head), "came_from": _told(old) if old else None, "was": asked}


def chain_lines(found: Shape) -> Iterator[str]:
    head, old, was = found["check_value"], found["came_from"], found["was"]
    if head["entries"] == "0":
        yield "No entry yet, and so no check value."
    else:
        yield f"Check value {head['value']} after {rules.counted(head['entries'])}."
    if old:
        yield f"Loaded from a folder of books whose check value was {old['value']} after {rules.counted(old['entries'])}."
    if was and was["known"]:
        more = f"; {was['more']} more since then" if was["more"] != "0" else ""
        yield f"{was['value']} is the check value after {rules.counted(was['entries'])}{more}."


def _told(head: Head) -> Shape:
    return {"value": head.value if head.position else None, "digest": head.digest, "entries": str(head.position)}


def _looked_up(was: str, head: Head) -> Shape:
    if not rules.typed(was):
        raise Refused(
            f"“{was}” is not a check value. Type its sixteen figures and letters (0-9, a-f), as they stand on the report.",
            field="was",
        )
    found = chain.found(was)
    if found is None:
        return {"known": False, "entries": None, "more": None}
    return {"known": True, "entries": str(found.position), "more": str(head.position - found.position)}
