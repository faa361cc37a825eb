"""`manage.py bring FILE`: a maker's own spreadsheet into a workshop in use, all or nothing."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

from inventory.errors import Refused
from workshop.management import base as commands
from workshop.setup.bring.book import MOST_BYTES
from workshop.setup.bring.bringing import Brought, bring
from workshop.setup.bring.kinds import KINDS


class Command(commands.Answer):
    help = "Bring in your own spreadsheet (.xlsx or .csv) of purchases, skins, sales or customers, all or nothing."
    takes = {
        "file": {"metavar": "FILE", "type": Path, "help": "the spreadsheet; it is only read"},
        "--into": {"choices": list(KINDS), "default": "", "help": "what its rows are; found out when left out"},
        "--dry-run": {"action": "store_true", "help": "check everything and write nothing"},
        "--answer": {
            "action": "append",
            "default": [],
            "metavar": "NAME=VALUE",
            "help": "the answer to a question that was asked; once for each",
        },
        "--as-before": {"action": "store_true", "help": "answer as the last time for a file with the same heads"},
    }

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        path: Path = options["file"].expanduser()
        try:
            with path.open("rb") as file:
                content = file.read(MOST_BYTES + 1)
        except OSError as fault:
            raise Refused(f"{path} cannot be read: {fault.strerror}. Name a file that is there.") from None
        found = bring(
            content,
            path.name,
            into=options["into"],
            answers=dict(_answer(each) for each in options["answer"]),
            as_before=options["as_before"],
            dry_run=options["dry_run"],
        )
        if not found.done and not options["dry_run"]:
            raise Refused("\n".join([*_open(found), "Nothing was written."]))
        return {**asdict(found), "doubts": [str(doubt) for doubt in found.doubts]}

    def lines(self, found: dict[str, Any]) -> list[str]:
        rest = {"here already": found["before"], "left out": found["left_out"], "not wanted": found["not_wanted"]}
        lines = [
            f"{found['written']:6} {found['noun']}",
            *(f"{count:6} {what}" for what, count in rest.items() if count),
        ]
        lines += [f"Doubtful: {doubt}" for doubt in found["doubts"]]
        lines += [f"Passed over: {line}" for line in (*found["unread"], *found["passed"])]
        if not found["done"]:
            lines += [
                *found["faults"],
                *(_asked(each) for each in found["questions"] if each["needed"] and not each["preset"]),
            ]
        return [*lines, "Nothing was written: a dry run." if found["dry_run"] else "Brought in."]


def _answer(text: str) -> tuple[str, str]:
    name, mark, value = text.partition("=")
    if not mark or not name:
        raise Refused(f"{text[:40]!r} is no answer. Write it as NAME=VALUE, such as date_order=d.")
    return name, value


def _open(found: Brought) -> list[str]:
    lines = [*found.faults, *(_asked(vars(question)) for question in found.open)]
    lines += [str(doubt) for doubt in found.doubts]
    if found.doubts:
        lines.append("Put these cells right, or leave their rows out with --answer doubtful=leave.")
    return lines


def _asked(question: dict[str, Any]) -> str:
    ways = ", ".join(f"{value} ({label})" if value != label else value for value, label in question["choices"][:12])
    return f"{question['label']}: --answer '{question['name']}=…'{f', one of {ways}' if ways else ''}"
