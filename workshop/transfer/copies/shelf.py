"""Where copies lie and what is known of them: their folder, and a small file beside the database. Asks the database nothing.

The file is no table: what is known of copies must not go back in time with a copy that is put back, and is there when the
database is not.
"""

import json
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from pathlib import Path

from django.conf import settings
from django.utils import timezone

from inventory import formats
from workshop.transfer import aside
from workshop.transfer.copies import rules

STATE = "copies.json"


@dataclass(frozen=True)
class Kept:
    """A copy in the folder: its file, when it was made, its size, and when it was last found good."""

    file: Path
    made: datetime
    size: int
    verified: datetime | None

    @property
    def stamp(self) -> str:
        return rules.stamp(self.made)

    @property
    def megabytes(self) -> str:
        return megabytes(self.size)


def megabytes(size: int) -> str:
    """A size in words: tenths of a megabyte, and at least one."""
    return f"{formats.figure(Decimal(max(1, -(-size // 100_000))) / 10)} MB"


def folder() -> Path:
    return Path(settings.COPIES_DIR or Path(settings.DATA_DIR) / "copies")


def listed() -> list[Kept]:
    """The newest first."""
    where, found = folder(), []
    verified = _moments(_state().get("verified"))
    if not where.is_dir():
        return []
    for file in where.iterdir():
        made = rules.made_at(file.name)
        with suppress(OSError):  # one that is forgotten just now
            if made and file.is_file():
                found.append(Kept(file, made, file.stat().st_size, verified.get(file.name)))
    return sorted(found, key=lambda each: each.made, reverse=True)


def newest() -> Kept | None:
    with suppress(OSError):
        return next(iter(listed()), None)
    return None


def known() -> rules.Known:
    found = _moments(_state())
    return rules.Known(found.get("begun"), found.get("last"), found.get("away"))


def nag() -> str:
    """What Today says of the copies; nothing where all is well."""
    return rules.nag(known(), timezone.now())


def begin() -> None:
    """A workshop is here from now on; said once."""
    if not known().begun:
        _note(begun=timezone.now())


def note_good(file: Path, made: datetime) -> None:
    """A copy was found good just now."""
    last = known().last
    _note(last=max(filter(None, (last, made))))
    if file.parent == folder():
        there = {name: told for name, told in _checked().items() if (folder() / name).exists()}
        _note(verified={**there, file.name: timezone.now().isoformat()})
    if on_another_disk(file):
        note_away(made)


def note_away(made: datetime) -> None:
    """A copy of that moment lies on another disk."""
    _note(away=max(filter(None, (known().away, made))))


def on_another_disk(path: Path) -> bool:
    """As far as the system tells: two partitions of one disk look like two disks."""
    try:
        return path.stat().st_dev != Path(settings.DATA_DIR).stat().st_dev
    except OSError:
        return False


def forget_old() -> None:
    """Copies in the folder that are not among those to be kept, and what a killed program left there."""
    aside.clear_left(folder(), (".copying-", ".tawery-"))
    there = listed()
    keep = rules.kept(each.made for each in there)
    for each in there:
        if each.made not in keep:
            each.file.unlink(missing_ok=True)


def _note(**more: object) -> None:
    told = {name: each.isoformat() if isinstance(each, datetime) else each for name, each in more.items()}
    text = json.dumps({**_state(), **told}, indent=1)
    with suppress(OSError):  # a full disk; the copy itself is good, and Today goes on asking
        aside.write(Path(settings.DATA_DIR) / STATE, text.encode())


def _state() -> dict[str, object]:
    """A file that cannot be read says nothing; the next copy writes it anew."""
    try:
        found = json.loads((Path(settings.DATA_DIR) / STATE).read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _checked() -> dict[str, object]:
    found = _state().get("verified")
    return found if isinstance(found, dict) else {}


def _moments(found: object) -> dict[str, datetime]:
    made = {}
    for name, text in found.items() if isinstance(found, Mapping) else ():
        with suppress(TypeError, ValueError):
            moment = datetime.fromisoformat(text)
            if moment.tzinfo:
                made[name] = moment
    return made
