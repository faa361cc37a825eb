"""`manage.py open`: prepare everything, answer the four daily questions, and serve the workshop."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from inventory import formats
from inventory.base import selectors as workshop
from inventory.errors import Refused
from workshop import bootstrap as opening, proxy


class Command(BaseCommand):
    help = "Make the data folder, secrets and database, load the demonstration, print the answers and a sign-in link, then serve."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="prepare and answer, then stop")
        parser.add_argument("--empty", action="store_true", help="no demonstration: a workshop of your own")
        parser.add_argument("--port", type=int, default=8000, metavar="N", help="serve on this port (8000)")
        parser.add_argument(
            "--listen",
            default="127.0.0.1",
            metavar="ADDRESS",
            help="serve on this address; 0.0.0.0 lets the phone in the shed in",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            served_by = proxy.options()
            loaded = opening.prepare(empty=options["empty"])
            if not options["no_serve"]:
                opening.refuse_taken(options["listen"], options["port"])
            with workshop.remembered(), workshop.at_home():
                self._say(loaded)
        except Refused as refusal:
            raise CommandError(str(refusal)) from None
        address = opening.address(options["listen"], options["port"])
        opening.answer_on_network(options["listen"])
        self.stdout.write(f"\nSign in, works once, today: {opening.link(address)}\n")
        if not options["no_serve"]:
            self._serve(options["listen"], options["port"], address, served_by)

    def _say(self, loaded: bool) -> None:
        row = workshop.current()
        self.stdout.write(
            f"{row.name}, {formats.day(workshop.today(), full=True)}{' (demonstration, loaded just now)' if loaded else ''}\n"
        )
        for line in opening.lines():
            self.stdout.write(line)

    def _serve(self, host: str, port: int, address: str, served_by: dict[str, object]) -> None:
        # The server and the application it serves, of which a command that serves nothing needs neither.
        from waitress import serve

        from workshop.wsgi import application

        self.stdout.write(f"Open at {address} . Stop with Ctrl+C.")
        for hint in filter(None, (opening.hint(host, port), proxy.hint())):
            self.stdout.write(hint)
        self.stdout.flush()
        serve(application, host=host, port=port, threads=4, ident=None, **served_by)
