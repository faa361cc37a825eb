"""The words that tell a customer that a job is ready. Sending them, and what the law asks of them, is the maker's."""

from __future__ import annotations

from datetime import date, timedelta

from costing import quotes
from costing.models import Terms
from costing.selectors import papers
from costing.selectors.jobs import Standing
from inventory.selectors import workshop
from inventory.templatetags.figures import money

CAUTION = (
    "How such a notice has to be given, what may be charged for storage, and when goods that nobody fetches may be sold, "
    "is local law and differs from place to place. Keep what shows that it was sent, and ask before you charge or sell."
)


def ready_words(stands: Standing, on: date) -> str:
    """Who writes, what is ready, where it is fetched, what is left to pay, storage and from when, for a notice of a day."""
    seller, terms, job = papers.seller(), papers.terms(), stands.job
    where = seller["address"] or workshop.current().name
    lines = [
        seller["name"],
        seller["address"],
        seller["electronic"],
        "",
        f"{job.customer.name},",
        "",
        f"your {job.skin.species.lower()} skin ({job.number}, tag {job.skin.tag}: {job.work}) is ready since {_day(on)}.",
        f"It can be fetched from {_in_one_line(where)}.",
        _owed(stands),
        _storage(on, terms),
    ]
    return "\n".join(line for place, line in enumerate(lines) if line or place in (3, 5)).strip()


def _owed(stands: Standing) -> str:
    if not stands.left:
        return "Nothing is left to pay."
    held = f": {money(stands.job.price)} agreed, less {money(stands.deposit)} paid before" if stands.deposit else ""
    return f"Still to pay: {money(stands.left)}{held}."


def _storage(on: date, terms: Terms) -> str:
    until = quotes.storage(on, on, terms.storage_free_days, terms.storage_per_day).free_until
    if not terms.storage_per_day:
        return f"Please fetch it by {_day(until)}."
    charged = f"from {_day(until + timedelta(days=1))} on it costs {money(terms.storage_per_day)} a day"
    return f"Storage is free until {_day(until)}; {charged}." if terms.storage_free_days else f"For storage, {charged}."


def _in_one_line(address: str) -> str:
    return ", ".join(part.strip() for part in address.splitlines() if part.strip())


def _day(on: date) -> str:
    return f"{on.day} {on:%B %Y}"
