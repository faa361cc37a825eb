"""`manage.py bath RECIPE --litres N`: what goes into a bath, what meets in it, what it costs, whether it fits."""

from workshop.answers import bath as answers
from workshop.management import base as commands


class Command(commands.Answer):
    help = "The weights and measures of a bath by a recipe, its chemistry, its cost, and what the shelf allows."
    takes = {
        "recipe": {"metavar": "RECIPE", "help": "the recipe's code"},
        "--litres": {"metavar": "N", "help": "litres of bath"},
        "--weight": {"metavar": "KG", "help": "drained weight of the skins; with --float it gives the litres"},
        "--float": {"metavar": "N", "help": "litres of bath to a kg of skin"},
        "--vessel": {"metavar": "PLACE", "help": "the tub: whether it holds the bath; alone, as much as it holds"},
        "--skins": {"metavar": "N", "help": "how many skins; default: by the recipe's litres a skin"},
        "--celsius": {"metavar": "N", "help": "temperature of the bath; default: 20"},
        "--use": {
            "metavar": "MATERIAL",
            "action": "append",
            "default": [],
            "help": "use this alum or soda instead; may be repeated",
        },
        "--recipe-version": {"metavar": "N", "help": "a version of the recipe; default: the newest"},
        "--day": {"metavar": "N", "help": "day of the recipe, where it mixes several baths; default: the first"},
    }
    answer = staticmethod(answers.bath_answer)
    lines = staticmethod(answers.bath_lines)
