"""`manage.py check_books`: recompute every balance and cost from the entries; exit 1 and the list if anything differs."""

from typing import Any

from django.core.management.base import CommandError

from costing.report.audit import selectors as audit
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Recompute every balance and cost from the entries. Exit 0 when all agree, 1 with the list of differences."

    def handle(self, *args: Any, **options: Any) -> None:
        super().handle(*args, **options)
        if self.found["differences"]:
            raise CommandError(
                f"{len(self.found['differences'])} differences. Restore the last backup, or ask for help with this list."
            )

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        self.found: dict[str, Any] = {"differences": audit.findings()}
        return self.found

    def lines(self, found: dict[str, Any]) -> list[str]:
        return found["differences"] or ["The books are clean: every balance and cost agrees with the entries."]
