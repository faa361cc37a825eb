"""`manage.py bath RECIPE --litres N`: what goes into a bath, what meets in it, what it costs, whether it fits."""

from argparse import ArgumentParser
from typing import Any

from workshop.answers import bath as answers_bath
from workshop.management import base as commands


class Command(commands.Answer):
    help = "The weights and measures of a bath by a recipe, its chemistry, its cost, and what the shelf allows."

    def add_arguments(self, parser: ArgumentParser) -> None:
        super().add_arguments(parser)
        parser.add_argument("recipe", metavar="RECIPE", help="the recipe's code")
        parser.add_argument("--litres", metavar="N", help="litres of bath")
        parser.add_argument(
            "--weight", metavar="KG", help="drained weight of the skins; with --float it gives the litres"
        )
        parser.add_argument("--float", metavar="N", help="litres of bath to a kg of skin")
        parser.add_argument(
            "--vessel", metavar="PLACE", help="the tub: whether it holds the bath; alone, as much as it holds"
        )
        parser.add_argument("--skins", metavar="N", help="how many skins; default: by the recipe's litres a skin")
        parser.add_argument("--celsius", metavar="N", help="temperature of the bath; default: 20")
        parser.add_argument(
            "--use",
            metavar="MATERIAL",
            action="append",
            default=[],
            help="use this alum or soda instead; may be repeated",
        )
        parser.add_argument("--recipe-version", metavar="N", help="a version of the recipe; default: the newest")
        parser.add_argument(
            "--day", metavar="N", help="day of the recipe, where it mixes several baths; default: the first"
        )

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        return answers_bath.bath_answer(options)

    def lines(self, found: dict[str, Any]) -> list[str]:
        return list(answers_bath.bath_lines(found))
