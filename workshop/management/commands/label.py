"""`manage.py label care|ticket ARTICLE -o FILE.pdf`: print a paper for an article."""

from argparse import ArgumentParser
from typing import Any

from workshop import commands, prints


class Command(commands.Answer):
    help = "Write an article's care label or price ticket as PDF."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("paper", choices=prints.PAPERS, help="care: how to keep it; ticket: price and size")
        parser.add_argument("article", metavar="ARTICLE", help="the article's number")
        parser.add_argument("-o", "--output", required=True, metavar="FILE.pdf", help="where to write it")

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        content = prints.article_paper(options["paper"], options["article"])
        target = commands.write(options["output"], content)
        return {
            "paper": options["paper"],
            "article": options["article"],
            "file": str(target),
            "bytes": str(len(content)),
        }

    def lines(self, found: dict[str, Any]) -> list[str]:
        return [f"Wrote the {found['paper']} paper of {found['article']} to {found['file']}."]
