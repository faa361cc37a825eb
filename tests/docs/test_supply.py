"""docs/requirements.txt locks what pyproject.toml pins, with hashes; what is said of packages is what was found."""

from __future__ import annotations

import importlib.util
import re
import tomllib
from types import ModuleType

import pytest

from tests.docs import pages

LOCK = (pages.ROOT / "docs" / "requirements.txt").read_text(encoding="utf-8")
LOCKED = dict(re.findall(r"^([\w.-]+)==(\S+) \\$", LOCK, re.MULTILINE))
RUNS = ("einvoice", "scripts", "postgres")  # with what a server is installed


def plain(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name.partition("[")[0]).lower()


def test_every_pin_is_locked_at_its_version_and_with_hashes() -> None:
    project = tomllib.loads((pages.ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [*project["dependencies"], *(each for extra in RUNS for each in project["optional-dependencies"][extra])]
    pins = {plain(name): version for name, version in (each.split("==") for each in wanted)}
    assert {name: LOCKED.get(name) for name in pins} == pins
    assert len(re.findall(r"\\\n    --hash=sha256:[0-9a-f]{64}", LOCK)) >= len(LOCKED) > len(pins)
    assert re.findall(r"^(?!#|    --hash=|[\w.-]+==).+$", LOCK, re.MULTILINE) == [], "nothing says from where"


@pytest.fixture(scope="module")
def supply() -> ModuleType:
    found = importlib.util.spec_from_file_location("supply", pages.ROOT / ".ci" / "supply.py")
    assert found
    assert found.loader
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("ended", "told", "wrong", "says"),
    [
        (0, "Would install salt-1.0", False, "none."),
        (0, "WARNING: The candidate selected is a yanked version: 'salt' candidate\nReason: broken", True, "'salt'"),
        (1, "ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE.\n salt", True, "salt"),
        (1, "WARNING: Retrying\nERROR: No matching distribution found for salt==1.0", False, "not looked up"),
        (-1, "no answer in 90 seconds", False, "not looked up, the index did not answer (no answer in 90 seconds)"),
        (1, "", False, "not looked up"),
    ],
)
def test_a_withdrawn_or_changed_package_fails_and_a_missing_network_does_not(
    supply: ModuleType, ended: int, told: str, wrong: bool, says: str
) -> None:
    found = supply._there(ended, told)
    assert found[0] is wrong
    assert says in found[1]


@pytest.mark.parametrize(
    ("told", "wrong", "says"),
    [
        ('{"dependencies": [{"name": "salt", "version": "1", "vulns": []}], "fixes": []}', False, "none."),
        ('No\n{"dependencies": [{"name": "salt", "vulns": [{"id": "CVE-1"}]}]}', True, "salt CVE-1."),
        ('{"dependencies": [{"name": "own", "skip_reason": "x"}]}', False, "none. Not looked up: own."),
        ("ConnectionError: no route", False, "not looked up"),
        ("{", False, "not looked up"),
    ],
)
def test_a_known_fault_fails_and_a_list_that_does_not_answer_is_said(
    supply: ModuleType, told: str, wrong: bool, says: str
) -> None:
    found = supply._faults(1, told)
    assert found[0] is wrong
    assert says in found[1]
