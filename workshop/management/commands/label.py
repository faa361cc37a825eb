"""`manage.py label KIND NAME… -o FILE.pdf`: print labels of articles, skins, batches, materials, frames or places."""

import sys
from decimal import Decimal
from typing import Any

from inventory import formats
from inventory.errors import Refused
from workshop.documents import labelling
from workshop.documents.labelling import Run
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write labels or tags as PDF, each of another thing, in one run."
    takes = {
        "paper": {
            "choices": labelling.KINDS,
            "metavar": "KIND",
            "help": "care, care-card, hang-tag, ticket: of an article; tag: of a skin; bath, frame: of a batch; "
            "jar: of a material; number: of a frame; shelf: of a place",
        },
        "names": {
            "nargs": "+",
            "metavar": "NAME",
            "help": "the article's, batch's or frame's number, tag, code, or the place's name",
        },
        **commands.OUTPUT,
        "--copies": {"type": int, "default": 1, "metavar": "N", "help": "how many of each; 1 if not given"},
        "--sheet": {
            "default": "",
            "help": "a sheet of labels: its name in Setup, 3x7 (equal parts of your paper) or 57x32mm (a roll); "
            "a4, letter or own: laid to cut apart",
        },
        "--start": {
            "type": int,
            "default": 1,
            "metavar": "N",
            "help": "the first free label of the sheet; 1 if not given",
        },
        "--language": {"default": "", "metavar": "XX[,YY]", "help": "one language or two, such as fi or sv,fi"},
        "--litres": {"metavar": "N", "help": "what the jar holds; 1 if not given"},
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        paper, names, copies = options["paper"], options["names"], options["copies"]
        laid = labelling.lay(
            Run(
                paper,
                names,
                copies=copies,
                sheet=options["sheet"],
                start=options["start"],
                languages=[language.strip() for language in options["language"].split(",") if language.strip()],
                litres=None if options["litres"] is None else _litres(options["litres"]),
            )
        )
        content = laid.print(self._say if sys.stderr.isatty() and laid.pages > 1 else None)
        about = {"article": names[0]} if labelling.KINDS[paper].of == "article" and len(names) == 1 else {}
        counts = {"copies": str(copies), "labels": str(laid.labels), "pages": str(laid.pages)}
        return commands.written(options["output"], content, paper=paper, name=", ".join(names), **about, **counts)

    def lines(self, found: dict[str, Any]) -> list[str]:
        if found["labels"] == "1":
            return [f"Wrote the {found['paper']} paper of {found['name']} to {found['file']}."]
        return [f"Wrote {found['labels']} {found['paper']} papers on {found['pages']} pages to {found['file']}."]

    def _say(self, done: int, total: int) -> None:
        """One line that is written over, on a terminal only."""
        self.stderr.write(f"\rPage {done} of {total}", ending="\n" if done == total else "")
        self.stderr.flush()


def _litres(text: str) -> Decimal:
    try:
        return formats.current().read(text, field="litres")
    except Refused as refusal:
        raise Refused(f"The litres cannot be read: {refusal}", field="litres") from None
