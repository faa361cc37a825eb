"""Whether what is installed from elsewhere is still what was locked: nothing withdrawn, no file changed, no known fault.

Fails for what it finds, never for a network that is not there: then it says what it could not look up. `pip-audit`, which knows
of faults, is asked where it is installed.
"""

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

LOCK = "docs/requirements.txt"
PATIENCE = 90  # seconds for each question
CHANGED = "DO NOT MATCH THE HASHES"


def main() -> int:
    said = list(looked_up())
    sys.stdout.writelines(f"{line}\n" for _, line in said)
    return 1 if any(wrong for wrong, _ in said) else 0


def looked_up() -> Iterator[tuple[bool, str]]:
    """Each thing that was looked up: whether it is wrong, and what is said of it."""
    pip = (sys.executable, "-m", "pip", "--disable-pip-version-check")
    yield _fit(*_run(*pip, "check"))
    again = (
        "install",
        "--dry-run",
        "--no-deps",
        "--ignore-installed",
        "--require-hashes",
        "--retries=1",
        "--timeout=10",
    )
    yield _there(*_run(*pip, *again, "-r", LOCK))
    audit = shutil.which("pip-audit")
    if audit is None:
        yield False, "Known faults: not looked up, pip-audit is not installed here."
    else:
        yield _faults(*_run(audit, "--disable-pip", "--no-deps", "--format=json", "--progress-spinner=off", "-r", LOCK))


def _fit(ended: int, said: str) -> tuple[bool, str]:
    return ended != 0, f"Installed packages fit together: {said.strip() if ended else 'yes.'}"


def _there(ended: int, said: str) -> tuple[bool, str]:
    lines = [line.strip() for line in said.splitlines()]
    withdrawn = [line for line in lines if "yanked version" in line]
    if withdrawn:
        return True, f"Withdrawn: {' '.join(withdrawn)}"
    if CHANGED in said:
        return True, f"Changed since they were locked: {' '.join(lines[-6:])}"
    if ended:
        return (
            False,
            f"Withdrawn or changed: not looked up, the index did not answer ({lines[-1] if lines else 'no reason given'}).",
        )
    return False, "Withdrawn or changed since they were locked: none."


def _faults(ended: int, said: str) -> tuple[bool, str]:
    try:
        told = json.loads(said[said.index("{") :])["dependencies"]
        found = [f"{each['name']} {fault['id']}" for each in told for fault in each.get("vulns", ())]
    except (ValueError, KeyError, TypeError):
        return False, f"Known faults: not looked up, their list did not answer (pip-audit ended with {ended})."
    passed = [each["name"] for each in told if "skip_reason" in each]
    rest = f" Not looked up: {', '.join(passed)}." if passed else ""
    return bool(found), f"Known faults: {', '.join(found) or 'none'}.{rest}"


def _run(*words: str) -> tuple[int, str]:
    try:
        done = subprocess.run(words, capture_output=True, text=True, check=False, timeout=PATIENCE)  # noqa: S603 - our own words
    except subprocess.TimeoutExpired:
        return -1, f"no answer in {PATIENCE} seconds"
    return done.returncode, done.stdout + done.stderr


if __name__ == "__main__":
    os.chdir(Path(__file__).resolve().parent.parent)
    sys.exit(main())
