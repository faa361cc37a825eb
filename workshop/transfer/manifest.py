"""What a saved folder says of itself: its files with their sizes, checksums and rows, so that half of it is not taken for all.

It carries where the chain of the books ended, too, so that the books that are loaded from it say which ones they came from.
A folder without this file was made by hand and is taken as it is.
"""

import hashlib
import json
import re
from collections.abc import Mapping
from pathlib import Path

from inventory.base.chain.rules import START, Head
from inventory.errors import Refused

NAME = "manifest.json"
VERSION = 1
MOST_BYTES = 64 * 1024 * 1024
MOST_LINKS = 2**62
_ANYWAY = f"Save again; or, if you changed the files yourself, delete {NAME} and load again."


def write(folder: Path, rows: Mapping[str, int], head: Head) -> None:
    """The last file of a folder: what lies in it, the rows of each CSV file, the end of the chain. Raises `OSError` where it cannot
    be written."""
    files: dict[str, dict[str, object]] = {}
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        content, name = path.read_bytes(), path.relative_to(folder).as_posix()
        counted = {"rows": rows[name]} if name in rows else {}
        files[name] = {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest(), **counted}
    chain = {"links": head.position, "digest": head.digest}
    told = {"format": "tawery folder", "version": VERSION, "files": files, "chain": chain}
    text = json.dumps(told, indent=1, sort_keys=True)
    (folder / NAME).write_text(text + "\n", encoding="utf-8")


def refuse_incomplete(folder: Path) -> None:
    """Where a folder says what is in it, it must be that: nothing missing, nothing changed, no CSV file more."""
    file = folder / NAME
    if not file.is_file():
        return
    told, _ = _read(file)
    for name, (size, wanted) in told.items():
        path = folder / name
        if path.is_symlink() or not path.is_file():
            raise Refused(f"{name} is missing in {folder}, which {NAME} names. {_ANYWAY}", field="folder")
        if path.stat().st_size != size or hashlib.sha256(path.read_bytes()).hexdigest() != wanted:
            raise Refused(f"{name} in {folder} is not as it was saved. {_ANYWAY}", field="folder")
    more = sorted(path.name for path in folder.glob("[!.]*.csv") if path.name not in told)
    if more:
        raise Refused(f"{more[0]} in {folder} was not saved with the others. {_ANYWAY}", field="folder")


def head(folder: Path) -> Head | None:
    """Where the chain of the books ended that the folder was saved from; None where it does not say, or they had no entry."""
    file = folder / NAME
    return _read(file)[1] if file.is_file() else None


def _read(file: Path) -> tuple[dict[str, tuple[int, str]], Head | None]:
    """Each file with its size and checksum, and the end of the chain. A name that leads out of the folder is refused with all the
    rest."""
    try:
        if file.stat().st_size > MOST_BYTES:
            raise ValueError
        told = json.loads(file.read_text("utf-8"))
        found = {name: (int(each["bytes"]), str(each["sha256"])) for name, each in told["files"].items()}
        chain = told.get("chain", {"links": 0, "digest": START})
        old = Head(int(chain["links"]), str(chain["digest"]))
        if not 0 <= old.position < MOST_LINKS or not re.fullmatch("[0-9a-f]{64}", old.digest):
            raise ValueError
        if told["version"] != VERSION or any(Path(name).is_absolute() or ".." in Path(name).parts for name in found):
            raise ValueError
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise Refused(f"{file} cannot be read. {_ANYWAY}", field="folder") from None
    return found, old if old.position else None
