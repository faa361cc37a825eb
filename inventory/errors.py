"""Refusals of the ground floor: what happened, the values, and what to do next.

Every refusal that a person can cause is a `Refused`; views and commands print its text as it stands.
"""

from __future__ import annotations


class Refused(Exception):  # noqa: N818 - a refusal is an answer to the maker, not a fault in the program
    """Something was asked that must not be done. `field` names the entry at fault where there is one."""

    def __init__(self, message: str, *, field: str | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.field = field

    def __str__(self) -> str:
        return self.message
