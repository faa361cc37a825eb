"""Writing aside: a file or folder gets its name when all of it is on the disk, so that whoever looks finds the old or the new.

Owns syncing and renaming, and the lock of a data folder. Knows nothing of what is written.
"""

import os
import shutil
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from inventory.errors import Refused

STALE = 24 * 3600  # seconds after which what lies aside belongs to a program that was killed


def write(target: Path, content: bytes, mode: int = 0o600) -> None:
    """One small file, all or nothing. Raises `OSError` where the disk will not take it, and leaves nothing then."""
    handle, name = tempfile.mkstemp(dir=target.parent, prefix=f".{target.name}.", suffix=".part")
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as out:
            out.write(content)
            sync(out.fileno())
        part.chmod(mode)
        rename(part, target)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def rename(part: Path, target: Path) -> None:
    """The name changes hands at one moment, and is on the disk when this returns."""
    part.replace(target)
    sync_folder(target.parent)


def sync(handle: int) -> None:
    os.fsync(handle)


def sync_folder(folder: Path) -> None:
    if sys.platform == "win32":  # there a folder cannot be opened
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def sync_tree(folder: Path) -> None:
    """Every file below, then every folder: what is renamed next is wholly on the disk."""
    for path in sorted(folder.rglob("*"), reverse=True):
        if path.is_dir():
            sync_folder(path)
        elif path.is_file():
            with path.open("rb+") as file:
                sync(file.fileno())
    sync_folder(folder)


@contextmanager
def folder_for(target: Path, word: str) -> Iterator[Path]:
    """A new folder beside `target`, of mode 0700, for who renames it; gone when the block ends and it still lies there."""
    clear_stale(target, word)
    made = Path(tempfile.mkdtemp(dir=target.parent, prefix=f".{target.name}.{word}-"))
    try:
        yield made
    finally:
        shutil.rmtree(made, ignore_errors=True)


def give_name(part: Path, target: Path) -> None:
    """A folder that is whole takes its name, where an empty folder of that name may stand. Raises `OSError` where it cannot."""
    sync_tree(part)
    part.chmod(0o777 & ~_mask())
    if target.is_dir():
        target.rmdir()
    part.rename(target)
    sync_folder(target.parent)


def _mask() -> int:
    mask = os.umask(0o077)
    os.umask(mask)
    return mask


def clear_stale(target: Path, word: str) -> None:
    """What a killed program left beside `target` a day ago or earlier."""
    clear_left(target.parent, (f".{target.name}.{word}-",))


def clear_left(folder: Path, starts: tuple[str, ...]) -> None:
    """What a killed program left in a folder under names that begin so. What is younger than a day may be at work."""
    for left in folder.iterdir() if folder.is_dir() else ():
        if left.name.startswith(starts) and time.time() - left.stat().st_mtime > STALE:
            if left.is_dir():
                shutil.rmtree(left, ignore_errors=True)
            else:
                left.unlink(missing_ok=True)


def beside(target: Path, word: str) -> list[Path]:
    """What lies aside for `target`, by the word it was made with."""
    if not target.parent.is_dir():
        return []
    start = f".{target.name}.{word}-"
    return sorted(path for path in target.parent.iterdir() if path.name.startswith(start))


@contextmanager
def one_at_a_time(file: Path) -> Iterator[bool]:
    """Whether nobody else, thread or process, is within such a block with that file; nobody waits. It ends with the process."""
    if sys.platform == "win32":
        yield True
        return
    import fcntl  # not on every system

    handle = os.open(file, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            mine = True
        except BlockingIOError:
            mine = False
        except OSError:  # a disk in the network that knows no locks
            mine = True
        yield mine
    finally:
        os.close(handle)


@contextmanager
def in_use(folder: Path, *, alone: bool) -> Iterator[None]:
    """Servers share a data folder; what swaps it has it `alone`. Refused where that cannot be. It ends with the process."""
    if sys.platform == "win32" or not folder.is_dir():
        yield
        return
    import fcntl  # not on every system

    handle = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, (fcntl.LOCK_EX if alone else fcntl.LOCK_SH) | fcntl.LOCK_NB)
        except BlockingIOError:
            raise Refused(
                f"The workshop in {folder} is open. Stop it with Ctrl+C where `open` runs, then try again."
                if alone
                else f"A copy is being put back into {folder}. Wait until that has ended, then open again."
            ) from None
        except OSError:  # a disk in the network that knows no locks
            pass
        yield
    finally:
        os.close(handle)
