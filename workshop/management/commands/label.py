"""`manage.py label PAPER NAME -o FILE.pdf`: print a label of an article, skin, batch, material, frame or place."""

from decimal import Decimal
from typing import Any

from inventory import formats
from inventory.errors import Refused
from workshop.documents import printing
from workshop.documents.kit import page
from workshop.management import base as commands


class Command(commands.Answer):
    help = "Write a label or tag as PDF."
    takes = {
        "paper": {
            "choices": printing.LABELS,
            "help": "care, care-card, hang-tag, ticket: of an article; tag: of a skin; bath, frame: of a batch; "
            "jar: of a material; number: of a frame; shelf: of a place",
        },
        "name": {"metavar": "NAME", "help": "the article's, batch's or frame's number, tag, code, or the place's name"},
        **commands.OUTPUT,
        "--copies": {"type": int, "default": 1, "metavar": "N", "help": "how many; 1 if not given"},
        "--sheet": {"choices": [*page.SHEETS, printing.OWN], "default": "", "help": "laid on sheets to cut apart"},
        "--language": {"default": "", "metavar": "XX[,YY]", "help": "one language or two, such as fi or sv,fi"},
        "--litres": {"metavar": "N", "help": "what the jar holds; 1 if not given"},
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        paper, name, copies = options["paper"], options["name"], options["copies"]
        litres = None if options["litres"] is None else _litres(options["litres"])
        languages = [language.strip() for language in options["language"].split(",") if language.strip()]
        content = printing.label(paper, name, copies=copies, sheet=options["sheet"], litres=litres, languages=languages)
        about = {"article": name} if paper in printing.ARTICLE_LABELS else {}
        return commands.written(options["output"], content, paper=paper, name=name, **about, copies=str(copies))

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the {found['paper']} paper of {found['name']} to {found['file']}."]


def _litres(text: str) -> Decimal:
    try:
        return formats.current().read(text, field="litres")
    except Refused as refusal:
        raise Refused(f"The litres cannot be read: {refusal}", field="litres") from None
