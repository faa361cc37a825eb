"""A copy as one file: a zip of the database, the photos, the bills and the key, with a manifest of checksums.

Owns how it is written and how warily it is read: a copy may come from anybody, so names, sizes and checksums are looked at before
a byte is unpacked. Knows no database. Form: docs/how-to/back-up-and-move.md.
"""

import hashlib
import json
import os
import re
import shutil
import stat
import zipfile
import zlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import IO, Any

from inventory.errors import Refused
from workshop.transfer import aside

MANIFEST, VERSION = "manifest.json", 1
SQLITE, POSTGRESQL = "workshop.sqlite3", "database.dump"
KEY = "secret.key"
STORES = ("photos", "bills")
MOST_FILES = 200_000
MOST_MANIFEST = 64 * 1024 * 1024
TIMES = 400  # a database packs ten to thirtyfold; far more is made to fill the disk
SMALL = 16 * 1024 * 1024
_NAME = re.compile(rf"(?:{'|'.join(STORES)})/[0-9A-Za-z][0-9A-Za-z_-]{{0,99}}\.[a-z]{{2,4}}")
_BLOCK = 1024 * 1024
_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError, KeyError, OSError)


@dataclass(frozen=True)
class Manifest:
    """What a copy says of itself: when it was made, of which database, its files as (bytes, SHA-256), the rows of each table."""

    made: datetime
    database: str
    files: Mapping[str, tuple[int, str]]
    rows: Mapping[str, int]


def write(target: Path, sources: Iterable[tuple[str, Path]], *, made: datetime, rows: Mapping[str, int]) -> None:
    """All or nothing, mode 0600, on the disk when this returns. A photo that vanishes meanwhile is left out: no record holds it.

    Raises `OSError` where the disk will not take it.
    """
    part = target.with_name(f".{target.name}.part")
    part.unlink(missing_ok=True)
    handle = os.open(part, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600)
    try:
        with os.fdopen(handle, "wb") as out:
            with zipfile.ZipFile(out, "w", allowZip64=True) as packed:
                files = dict(filter(None, (_pack(packed, name, path) for name, path in sources)))
                told = {"format": "tawery copy", "version": VERSION, "made_at": made.isoformat()}
                manifest = json.dumps({**told, "files": files, "rows": dict(rows)}, indent=1, sort_keys=True)
                packed.writestr(_info(MANIFEST), manifest)
            out.flush()
            aside.sync(out.fileno())
        aside.rename(part, target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def _pack(packed: zipfile.ZipFile, name: str, path: Path) -> tuple[str, dict[str, Any]] | None:
    try:
        source = path.open("rb")
    except FileNotFoundError:
        return None
    found, size = hashlib.sha256(), 0
    with source, packed.open(_info(name), "w", force_zip64=True) as out:
        while block := source.read(_BLOCK):
            found.update(block)
            size += len(block)
            out.write(block)
    return name, {"bytes": size, "sha256": found.hexdigest()}


def _info(name: str) -> zipfile.ZipInfo:
    """Pictures are packed already; nothing about the day or the machine beyond the manifest."""
    info = zipfile.ZipInfo(name)
    info.compress_type = zipfile.ZIP_STORED if name.startswith(STORES) else zipfile.ZIP_DEFLATED
    info.external_attr = (stat.S_IFREG | 0o600) << 16
    return info


def belongs(name: str) -> bool:
    """Whether a file of that name may be in a copy."""
    return name in (MANIFEST, SQLITE, POSTGRESQL, KEY) or bool(_NAME.fullmatch(name))


class Copy:
    """A copy that is open for reading, whose names and sizes are in order; the contents are looked at when they are read."""

    def __init__(self, file: Path, packed: zipfile.ZipFile) -> None:
        self.file, self._packed = file, packed
        self._entries = {entry.filename: entry for entry in packed.infolist()}
        self._look_at_entries()
        self.manifest = self._manifest()

    @property
    def size(self) -> int:
        """Bytes of all that is in it, unpacked."""
        return sum(size for size, _ in self.manifest.files.values())

    def look(self) -> None:
        """Read everything; refuse the first file that is not what the manifest says."""
        for name in self.manifest.files:
            with Path(os.devnull).open("wb") as nowhere:
                self._read(name, nowhere)

    def unpack(self, folder: Path) -> None:
        """Every file into an empty folder, readable by its owner only, each as the manifest says or all is refused."""
        if shutil.disk_usage(folder).free < self.size:
            raise Refused(
                f"{folder.parent} has no room for {self.file.name}: {self.size:,} bytes. Free some, or use --into."
            )
        for name in self.manifest.files:
            target = folder / name
            target.parent.mkdir(mode=0o700, exist_ok=True)
            with os.fdopen(os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
                self._read(name, out)

    def _read(self, name: str, out: IO[bytes]) -> None:
        size, wanted = self.manifest.files[name]
        found, left = hashlib.sha256(), size
        try:
            source = self._packed.open(self._entries[name])
            with source:
                while block := source.read(min(_BLOCK, left + 1)):
                    left -= len(block)
                    if left < 0:
                        raise self._bad(f"{name} is longer than it says")
                    found.update(block)
                    _put(out, block, name)
        except _BROKEN as fault:
            if isinstance(fault, Refused):
                raise
            raise self._bad(f"{name} cannot be read") from None
        if left or found.hexdigest() != wanted:
            raise self._bad(f"{name} is not what was copied")

    def _look_at_entries(self) -> None:
        entries = self._packed.infolist()
        if len(entries) > MOST_FILES or len(entries) != len(self._entries):
            raise self._bad("it names files twice or without end")
        for entry in entries:
            kind = stat.S_IFMT(entry.external_attr >> 16)
            plain = belongs(entry.filename) and entry.orig_filename == entry.filename and kind in (0, stat.S_IFREG)
            if not plain or entry.flag_bits & 1:
                raise self._bad(f"“{ascii(entry.filename)[1:61]}” does not belong into one")
            if entry.file_size > SMALL and entry.file_size > TIMES * max(entry.compress_size, 1):
                raise self._bad(f"{entry.filename} is packed to fill the disk")

    def _manifest(self) -> Manifest:
        entry = self._entries.get(MANIFEST)
        if entry is None or entry.file_size > MOST_MANIFEST:
            raise self._bad("its manifest is missing")
        try:
            told = json.loads(self._packed.read(entry))
            version = told["version"]
            files = {name: (int(each["bytes"]), str(each["sha256"])) for name, each in told["files"].items()}
            rows = {str(table): int(number) for table, number in told["rows"].items()}
            made = datetime.fromisoformat(told["made_at"])
        except (*_BROKEN, TypeError, AttributeError, RecursionError):
            raise self._bad("its manifest cannot be read") from None
        if version != VERSION:
            raise Refused(
                f"{self.file} was made by a newer program (form {ascii(version)[:20]}). Install that version first."
            )
        sizes = {name: entry.file_size for name, entry in self._entries.items() if name != MANIFEST}
        if sizes != {name: size for name, (size, _) in files.items()} or made.tzinfo is None:
            raise self._bad("its files are not those of its manifest")
        databases = [name for name in (SQLITE, POSTGRESQL) if name in files]
        if len(databases) != 1:
            raise self._bad("there is no database in it")
        return Manifest(made, databases[0], files, rows)

    def _bad(self, why: str) -> Refused:
        return Refused(f"{self.file} is no good copy: {why}. Take another copy.")


def _put(out: IO[bytes], block: bytes, name: str) -> None:
    """A full disk is not the copy's fault."""
    try:
        out.write(block)
    except OSError as fault:
        raise Refused(f"{name} cannot be unpacked: {fault.strerror}. Free some room, or use --into.") from None


@contextmanager
def opened(file: Path) -> Iterator[Copy]:
    """A copy to be read. Refused in one sentence: no such file, no copy, cut short, made to do harm."""
    if not file.is_file():
        raise Refused(f"There is no file {file}. Name a copy, for example one in the folder of copies.")
    try:
        packed = zipfile.ZipFile(file)
    except OSError as fault:
        raise Refused(f"{file} cannot be read: {fault.strerror}. Check its permissions.") from None
    except _BROKEN:
        raise Refused(f"{file} is no copy, or was cut short. Take another copy.") from None
    with packed:
        yield Copy(file, packed)
