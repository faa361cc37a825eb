"""What every command of the workshop shares: --json, plain refusals on stderr with exit 1, days and files read with care."""

import json
import os
import unicodedata
from argparse import ArgumentParser
from collections.abc import Callable, Iterable, Mapping
from contextlib import nullcontext, suppress
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, OperationalError, ProgrammingError

from inventory.base import selectors as workshop
from inventory.errors import Refused
from inventory.report import Report

_UNSHOWN = {"Cc", "Cs", "Zl", "Zp"}  # control signs, halves of a sign, ends of a line or paragraph

# Of each command that writes one paper.
OUTPUT = {"-o --output": {"required": True, "metavar": "FILE.pdf", "help": "where to write it"}}


class Answer(BaseCommand):
    """A command that answers: `answer()` returns the JSON shape, `lines()` says it in words. `takes` are its arguments."""

    requires_system_checks: list[str] = []
    takes: Mapping[str, Mapping[str, Any]] = {}
    at_home = True  # says days as the workshop does, which its database tells

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--json", action="store_true", help="answer as JSON: numbers as strings, dates ISO")
        for names, how in self.takes.items():
            parser.add_argument(*names.split(), **how)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            with workshop.remembered(), workshop.at_home() if self.at_home else nullcontext():
                self._look_at(options)
                found = self.answer(options)
                said = (
                    json.dumps(found, ensure_ascii=False, indent=2) if options["json"] else "\n".join(self.lines(found))
                )
        except Refused as refusal:
            raise CommandError(str(refusal)) from None
        except (OperationalError, ProgrammingError) as fault:
            raise CommandError(
                f"The database does not answer ({fault}). Run `manage.py open --no-serve` first; "
                "with --empty for a workshop of your own."
            ) from None
        except DatabaseError as fault:
            raise CommandError(
                f"The database is damaged ({fault}). Run `manage.py open`: it names the last copy."
            ) from None
        self.stdout.write(said)

    def _look_at(self, options: Mapping[str, Any]) -> None:
        """What was typed is on one line and can be shown, what it is of is named, and there is a place for the paper."""
        for names, how in self.takes.items():
            name = names.split()[-1]
            needed = not name.startswith("-") and how.get("nargs") not in ("?", "*")
            said = options.get(name.lstrip("-").replace("-", "_"))
            for text in said if isinstance(said, list) else [said]:
                if isinstance(text, str):
                    _look_at(text, str(how.get("metavar", name)) if needed else "")
        if "-o --output" in self.takes:
            _target(options["output"])

    def answer(self, options: dict[str, Any]) -> dict[str, Any]:
        raise NotImplementedError

    def lines(self, found: dict[str, Any]) -> Iterable[str]:
        raise NotImplementedError


def written(path: str, content: bytes, **about: str) -> dict[str, str]:
    """Write one file; what a command answers about it."""
    (target,) = write_all({path: content})
    return {**about, "file": str(target), "bytes": str(len(content))}


def write_all(files: Mapping[str, bytes]) -> list[Path]:
    """Write several files; every place is looked at before the first is written, so that a refusal leaves none behind."""
    targets = [_target(path) for path in files]
    for target, content in zip(targets, files.values(), strict=True):
        part = target.with_name(target.name + ".part")
        try:
            part.write_bytes(content)
            part.replace(target)
        except OSError as fault:
            with suppress(OSError):
                part.unlink()
            raise Refused(f"{target} cannot be written: {fault.strerror}. Name another place.") from None
    return targets


def write_asked(options: Mapping[str, Any], found: Report, **forms: Callable[[Report], bytes]) -> None:
    """A report in each form for which an option names a file."""
    paths = {name: options[name] for name in forms if options[name] is not None}
    if len(set(paths.values())) < len(paths):
        raise Refused("One file is named for two forms, and would hold only the last. Name a file for each.")
    write_all({path: forms[name](found) for name, path in paths.items()})


def _look_at(text: str, needed: str) -> None:
    """Refused where a terminal or a paper cannot show it, or where it is empty and `needed`."""
    shown = "".join("\ufffd" if unicodedata.category(sign) in _UNSHOWN else sign for sign in text)
    if shown != text:
        raise Refused(f"“{shown}” has a line break or another sign that cannot be printed. Type it without.")
    if needed and not text.strip():
        raise Refused(f"{needed} is empty. Say which one.")


def _target(path: str) -> Path:
    try:
        target = Path(path).expanduser()
    except RuntimeError:
        raise Refused(f"{path} names nobody's folder. Name another place.") from None
    if os.path.isdir(target):  # noqa: PTH112 - unlike Path.is_dir it bears a name too long for the disk
        raise Refused(f"{target} is a folder. Name a file in it, for example {target / 'paper.pdf'}.")
    if not target.parent.is_dir():
        raise Refused(f"There is no folder {target.parent}. Make it first, or name another place.")
    return target
