"""`manage.py open`: prepare everything, answer the four daily questions, and serve the workshop."""

import sys
from argparse import ArgumentParser
from socket import socket
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from inventory import formats
from inventory.base import selectors as workshop
from inventory.errors import Refused
from workshop import bootstrap as opening, proxy
from workshop.management import serving
from workshop.transfer import aside


class Command(BaseCommand):
    help = "Make the data folder, secrets and database, load the demonstration, print the answers and a sign-in link, then serve."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="prepare and answer, then stop")
        what = parser.add_mutually_exclusive_group()
        what.add_argument("--empty", action="store_true", help="no demonstration: a workshop of your own")
        what.add_argument("--demo", action="store_true", help="the demonstration, without asking in a new data folder")
        parser.add_argument("--port", type=int, default=8000, metavar="N", help="serve on this port (8000)")
        parser.add_argument("--workers", type=int, default=1, metavar="N", help="so many processes at the door (1)")
        parser.add_argument(
            "--listen",
            default="127.0.0.1",
            metavar="ADDRESS",
            help="serve on this address; 0.0.0.0 lets the phone in the shed in",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            served_by = proxy.options()
            serving.refuse_workers(options["workers"])
            loaded = opening.prepare(empty=options["empty"] or (not options["demo"] and self._wants_empty()))
            door = None if options["no_serve"] else serving.door(options["listen"], options["port"])
            with workshop.remembered(), workshop.at_home():
                self._say(loaded)
                if options["no_serve"] and (copied := opening.copy_of_the_day()):
                    self.stdout.write(copied)
        except Refused as refusal:
            raise CommandError(str(refusal)) from None
        address = opening.address(options["listen"], options["port"])
        opening.answer_on_network(options["listen"])
        self.stdout.write(f"\nSign in, works once, today: {opening.link(address)}\n")
        if door is not None:
            with door:
                self._serve(door, options, address, served_by)

    def _wants_empty(self) -> bool:
        """Asked on a terminal alone, of a folder that was named and holds nothing; a script goes on as ever."""
        if not (opening.is_new() and sys.stdin.isatty() and sys.stdout.isatty()):
            return False
        self.stdout.write(f"There is no workshop in {settings.DATA_DIR} yet.")
        wanted = input(
            "Type “empty” for a workshop of your own, “demo” for the demonstration, or Enter to stop: "
        ).strip()
        if wanted.lower() not in ("empty", "demo"):
            raise Refused("Stopped, and nothing was made. Look at TAWERY_DATA: it names the data folder.")
        return wanted.lower() == "empty"

    def _say(self, loaded: bool) -> None:
        row = workshop.current()
        self.stdout.write(
            f"{row.name}, {formats.day(workshop.today(), full=True)}{' (demonstration, loaded just now)' if loaded else ''}\n"
        )
        for line in opening.lines():
            self.stdout.write(line)
        self.stdout.write(f"Data folder: {settings.DATA_DIR}")

    def _serve(self, door: socket, options: dict[str, Any], address: str, told: dict[str, Any]) -> None:
        self.stdout.write(f"Open at {address} . Stop with Ctrl+C.")
        for hint in filter(None, (opening.hint(options["listen"], options["port"]), proxy.hint())):
            self.stdout.write(hint)
        self.stdout.flush()
        try:
            with aside.in_use(settings.DATA_DIR, alone=False):
                serving.serve(door, workers=options["workers"], chore=opening.copy_if_due, told=told)
        except Refused as refusal:
            raise CommandError(str(refusal)) from None
