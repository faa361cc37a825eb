"""`manage.py area PHOTO --frame 1200x1500 --corners … --outline …`: the area of a hide from a photo of it in its frame."""

from workshop.answers import area as answers
from workshop.management import base as commands


class Command(commands.Answer):
    help = (
        "The area of a hide from a photo of it in its frame, with how far it may be off. Points are pixels from the top left of "
        'the photo as it is shown upright: "x,y x,y …". Nothing is written. Approximate: leather traded by area is measured by '
        "the pin-wheel machine (ISO 11646) or electronically (ISO 19076)."
    )
    takes = {
        "photo": {"metavar": "PHOTO", "help": "the photo: JPEG, PNG or WebP"},
        "--frame": {"metavar": "WIDTHxHEIGHT", "help": "the inside of the frame in mm, such as 1200x1500"},
        "--corners": {"metavar": "POINTS", "help": "its four inside corners, clockwise from the top left"},
        "--apart": {
            "metavar": "MM",
            "help": "instead of a frame, in a photo from straight above: how far apart two marks are",
        },
        "--marks": {"metavar": "POINTS", "help": "the two marks"},
        "--outline": {
            "metavar": "POINTS",
            "required": True,
            "help": "the edge of the hide, all round; 20 points or more",
        },
        "--hole": {
            "metavar": "POINTS",
            "action": "append",
            "default": [],
            "help": "the edge of a hole, which is subtracted; may be repeated",
        },
    }
    answer = staticmethod(answers.area_answer)
    lines = staticmethod(answers.area_lines)
