"""`manage.py check_books`: recompute every balance and cost from the entries and follow their chain; exit 1 with the list if
anything differs."""

from typing import Any

from django.core.management.base import CommandError

from workshop.management import base as commands
from workshop.reports import chain as answers, followed


class Command(commands.Answer):
    help = "Recompute every balance and cost from the entries. Exit 0 when all agree, 1 with the list of differences."
    takes = {
        "--all": {
            "action": "store_true",
            "help": "follow the chain of the entries from its start, not from the last check",
        },
        "--was": {"metavar": "VALUE", "help": "a check value that you kept: do these books know it?"},
    }

    def handle(self, *args: Any, **options: Any) -> None:
        super().handle(*args, **options)
        if self.found["differences"]:
            raise CommandError(
                f"{len(self.found['differences'])} differences. Restore the last backup, or ask for help with this list."
            )
        if self.found["was"] and not self.found["was"]["known"]:
            raise CommandError(answers.UNKNOWN)

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        self.found: dict[str, Any] = {
            "differences": followed.findings(every=options["all"]),
            **answers.chain_shape(options["was"]),
        }
        return self.found

    def lines(self, found: dict[str, Any]) -> list[str]:
        said = found["differences"] or ["The books are clean: every balance and cost agrees with the entries."]
        return [*said, *answers.chain_lines(found)]
