"""What the mail says: the most pressing in its subject, a sentence for each material, the shopping list below.

Owns the words. Sending is `workshop.answers.mail.sending`'s.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from inventory import formats
from inventory.base import selectors as workshop
from inventory.foresight import selectors as foresight, words
from inventory.foresight.advice import Advice, advices
from inventory.foresight.selectors import Outlook
from inventory.foresight.shopping import selectors as shopping, words as lists
from inventory.foresight.snoozes import selectors as snoozes
from workshop.answers.mail import sending
from workshop.answers.plain import Shape

# Of these the first sentence of the reason says it all; of the others it is not the reason for which they are told.
BY_STOCK = words.TO_ORDER


@dataclass(frozen=True)
class Digest:
    subject: str
    body: str


def digest(on: date) -> Digest | None:
    """The mail of a day; None where nothing presses."""
    outlooks = foresight.outlooks(on)
    told = snoozes.apart(outlooks, on)
    if not told.pressing:
        return None
    currency, shop = workshop.current().currency, workshop.current().name
    buys = advices(told.pressing)
    found = shopping.listed(outlooks, on)
    parts = [
        [f"As of {formats.day(on)}:"],
        *([_sentence(each, buys[each.material.pk])] for each in told.pressing),
        *([["Shopping list"], lists.lines(found, currency)] if found.baskets else []),
        [f"Set aside: {lists.aside(*each)}" for each in told.aside],
        [f"-- \n{shop}"],
    ]
    body = "\n\n".join("\n".join(lines) for lines in parts if lines)
    return Digest(_plain(_subject(told.pressing, buys)), f"{_plain(body)}\n")


def send(on: date, addresses: Sequence[str]) -> Shape:
    """Send it, to the addresses of the settings where none is named; what the command answers."""
    found = digest(on)
    if found is None:
        return {"on": on.isoformat(), "subject": None, "sent": []}
    sent = sending.send(found.subject, found.body, addresses)
    return {"on": on.isoformat(), "subject": found.subject, "sent": sent}


def lines(found: Shape) -> Iterable[str]:
    if found["subject"] is None:
        yield f"Nothing presses (as of {found['on']}), so no mail was sent."
    else:
        yield f"Sent “{found['subject']}” to {lists.joined(found['sent'])}."


def _subject(pressing: Sequence[Outlook], buys: dict[int, Advice]) -> str:
    """On one line, whatever a name holds: a line end would begin another header."""
    first, *others = pressing
    more = f", and {len(others)} more" if others else ""
    action = words.action(first, buys[first.material.pk])
    return " ".join(f"{first.material.name}: {action[:1].lower()}{action[1:]}{more}".split())


def _sentence(each: Outlook, buy: Advice) -> str:
    said = words.reason(each) if each.forecast.state in BY_STOCK else words.why(each)
    return f"{each.material.name}: {words.action(each, buy)}. {said}"


def _plain(text: str) -> str:
    """With plain spaces: not every mail program shows the narrow and the hard ones."""
    return text.replace("\u202f", " ").replace("\u00a0", " ")
