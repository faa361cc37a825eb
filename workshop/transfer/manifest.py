"""What a saved folder says of itself: its files with their sizes, checksums and rows, so that half of it is not taken for all.

A folder without this file was made by hand and is taken as it is.
"""

import hashlib
import json
from collections.abc import Mapping
from pathlib import Path

from inventory.errors import Refused

NAME = "manifest.json"
VERSION = 1
MOST_BYTES = 64 * 1024 * 1024
_ANYWAY = f"Save again; or, if you changed the files yourself, delete {NAME} and load again."


def write(folder: Path, rows: Mapping[str, int]) -> None:
    """The last file of a folder: what lies in it, and the rows of each CSV file. Raises `OSError` where it cannot be written."""
    files: dict[str, dict[str, object]] = {}
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        content, name = path.read_bytes(), path.relative_to(folder).as_posix()
        told = {"rows": rows[name]} if name in rows else {}
        files[name] = {"bytes": len(content), "sha256": hashlib.sha256(content).hexdigest(), **told}
    text = json.dumps({"format": "tawery folder", "version": VERSION, "files": files}, indent=1, sort_keys=True)
    (folder / NAME).write_text(text + "\n", encoding="utf-8")


def refuse_incomplete(folder: Path) -> None:
    """Where a folder says what is in it, it must be that: nothing missing, nothing changed, no CSV file more."""
    file = folder / NAME
    if not file.is_file():
        return
    told = _read(file)
    for name, (size, wanted) in told.items():
        path = folder / name
        if path.is_symlink() or not path.is_file():
            raise Refused(f"{name} is missing in {folder}, which {NAME} names. {_ANYWAY}", field="folder")
        if path.stat().st_size != size or hashlib.sha256(path.read_bytes()).hexdigest() != wanted:
            raise Refused(f"{name} in {folder} is not as it was saved. {_ANYWAY}", field="folder")
    more = sorted(path.name for path in folder.glob("[!.]*.csv") if path.name not in told)
    if more:
        raise Refused(f"{more[0]} in {folder} was not saved with the others. {_ANYWAY}", field="folder")


def _read(file: Path) -> dict[str, tuple[int, str]]:
    """Each file with its size and checksum. A name that leads out of the folder is refused with all the rest."""
    try:
        if file.stat().st_size > MOST_BYTES:
            raise ValueError
        told = json.loads(file.read_text("utf-8"))
        found = {name: (int(each["bytes"]), str(each["sha256"])) for name, each in told["files"].items()}
        if told["version"] != VERSION or any(Path(name).is_absolute() or ".." in Path(name).parts for name in found):
            raise ValueError
    except (OSError, ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise Refused(f"{file} cannot be read. {_ANYWAY}", field="folder") from None
    return found
