"""The house holds: arrows point down, the migrations say what the models say, and numbers stay exact.

Each rule is read from the source, so that breaking it fails here before it fails in somebody's books.
"""

from __future__ import annotations

import ast
import pkgutil
import re
from collections import Counter
from collections.abc import Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path
from statistics import median

import pytest
from django.conf import settings
from django.core.management import call_command
from grimp import build_graph
from importlinter import cli

ROOT = Path(settings.BASE_DIR)
PURE = ("money", "ledger/costflow", "units", "substances")

WRITES = {
    "save",
    "create",
    "bulk_create",
    "bulk_update",
    "get_or_create",
    "update_or_create",
    "delete",
    "select_for_update",
}


def trees(*patterns: str) -> Iterator[tuple[str, ast.Module]]:
    for pattern in patterns:
        found = [path for path in sorted(ROOT.glob(pattern)) if "migrations" not in path.parts]
        assert found, f"{pattern} finds no file"
        for path in found:
            yield path.relative_to(ROOT).as_posix(), parsed(path)


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


FLOORS = ("inventory/**/*.py", "costing/**/*.py")

COUNTING = (
    *(f"inventory/{name}.py" for name in PURE),
    "costing/make/baths/chemistry/*.py",
    "costing/make/steps/schedule.py",
    *(f"inventory/foresight/{name}.py" for name in ("demand", "intermittent")),
    *(
        f"{app}/*/**/{layer}.py"
        for app in ("inventory", "costing")
        for layer in ("rules", "models", "selectors", "services")
    ),
)


def at(name: str, node: ast.AST) -> str:
    return f"{name}:{getattr(node, 'lineno', '?')}"


def is_f(node: ast.AST) -> bool:
    called = node.func if isinstance(node, ast.Call) else None
    return (isinstance(called, ast.Name) and called.id == "F") or (
        isinstance(called, ast.Attribute) and called.attr == "F"
    )


def floats(tree: ast.Module) -> Iterator[ast.AST]:
    # How alike two words must be to be suggested is no quantity.
    likeness = {node.value for node in ast.walk(tree) if isinstance(node, ast.keyword) and node.arg == "cutoff"}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, float) and node not in likeness:
            yield node
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "float":
            yield node
        if isinstance(node, ast.Attribute | ast.Name):
            word = node.attr if isinstance(node, ast.Attribute) else node.id
            if word in ("FloatField", "DecimalField", "Avg"):
                yield node


def f_arithmetic(tree: ast.Module) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        # Conditions are joined by | and &; those compute nothing.
        joins = isinstance(node, ast.BinOp) and isinstance(node.op, ast.BitOr | ast.BitAnd)
        if isinstance(node, ast.BinOp) and not joins and any(is_f(part) for part in ast.walk(node)):
            yield node


def writes(tree: ast.Module) -> Iterator[ast.AST]:
    for node in ast.walk(tree):
        if not (isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)):
            continue
        called = node.func
        # Through a manager, or on a row: `Thing.objects.create`, `row.save()`. `things.save(name=...)` is a service.
        through = isinstance(called.value, ast.Attribute) and called.value.attr in ("objects", "_default_manager")
        row = called.attr == "save" and {word.arg for word in node.keywords} <= {"update_fields", "force_insert"}
        if row or called.attr in ("bulk_create", "select_for_update") or (through and called.attr in WRITES):
            yield node


def found(rule: object, *patterns: str) -> list[str]:
    return [at(name, node) for name, tree in trees(*patterns) for node in rule(tree)]  # type: ignore[operator]


@pytest.mark.slow
def test_arrows_point_down(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    assert cli.lint_imports(no_cache=True) == cli.EXIT_STATUS_SUCCESS


def test_nouns_stand_in_one_order() -> None:
    """No two leaves need each other, by whatever way; tables are common ground, for one database refers to all of them."""
    graph = build_graph("workshop", "costing", "inventory", cache_dir=None)
    arrows: dict[str, set[str]] = {}
    for module in graph.modules:
        for other in graph.find_modules_directly_imported_by(module):
            leaf, beneath = module.rpartition(".")[0], other.rpartition(".")[0]
            apart = {leaf, beneath} & {"workshop", "costing", "inventory"} or module.endswith(".urls")
            if leaf != beneath and not apart and not other.endswith(".models"):
                arrows.setdefault(leaf, set()).add(beneath)
    TopologicalSorter(arrows).prepare()


@pytest.mark.django_db
def test_migrations_say_what_the_models_say() -> None:
    call_command("makemigrations", check=True, dry_run=True, verbosity=0)


def test_no_binary_fraction_comes_near_money_or_quantity() -> None:
    # A drying curve is fitted to weights that a scale rounded, stock ahead is drawn, a photo has pixels. An area leaves its rules
    # as a Decimal; nothing is booked by the others.
    photo = "costing/make/readings/areas/"
    fitted = ("costing/make/readings/drying/rules.py", "inventory/foresight/simulation.py", photo)
    assert [place for place in found(floats, *COUNTING) if not place.startswith(fitted)] == []


def test_the_database_does_no_arithmetic_on_scaled_columns() -> None:
    assert found(f_arithmetic, *FLOORS, "workshop/**/*.py") == []


def test_only_services_write() -> None:
    reading = ("rules", "selectors", "views", "forms", "tables")
    assert found(writes, *(f"{app}/*/**/{layer}.py" for app in ("inventory", "costing") for layer in reading)) == []


@pytest.mark.parametrize(
    ("rule", "code"),
    [
        (floats, "rate = 0.1"),
        (floats, "rate = float(text)"),
        (floats, "value = models.FloatField()"),
        (f_arithmetic, "rows.update(value=F('value') + 1)"),
        (f_arithmetic, "rows.update(value=1 - models.F('value'))"),
        (writes, "row.save()"),
        (writes, "Skin.objects.create(tag='x')"),
        (writes, "row.save(update_fields=['tag'])"),
    ],
)
def test_a_breach_would_be_seen(rule: object, code: str) -> None:
    assert list(rule(ast.parse(code)))  # type: ignore[operator]


def unexplained(name: str, tree: ast.Module) -> Iterator[str]:
    """Imports within functions that say neither on their line, nor above, nor on top of the module why they wait."""
    text = (ROOT / name).read_text().split("\n")
    if "imports what" in (ast.get_docstring(tree) or ""):
        return
    for function in ast.walk(tree):
        if not isinstance(function, ast.FunctionDef):
            continue
        late = [node.lineno for node in ast.walk(function) if isinstance(node, ast.Import | ast.ImportFrom)]
        # One reason holds for imports that stand together.
        if late and "#" not in text[late[0] - 1] and not text[late[0] - 2].lstrip().startswith("#"):
            yield f"{name}:{late[0]}"


def test_an_import_that_waits_says_why() -> None:
    assert [place for name, tree in trees(*FLOORS, "workshop/**/*.py") for place in unexplained(name, tree)] == []


def test_every_module_says_what_it_owns() -> None:
    silent = [
        name
        for name, tree in trees(*FLOORS, "workshop/**/*.py")
        if tree.body and not name.endswith("__init__.py") and not ast.get_docstring(tree)
    ]
    assert silent == []


def test_rooms_can_be_held_in_the_head() -> None:
    """A folder holds at most 14 modules and 14 folders (commands are a list, not a room); a module at most 300 lines."""
    lines = {
        path: path.read_text("utf-8").count("\n")
        for path in (ROOT / name for name, _ in trees(*FLOORS, "workshop/**/*.py"))
    }
    rooms = {path.parent for path in lines if path.parent.name != "commands"}
    modules = Counter(path.parent for path in lines if path.parent in rooms and path.name != "__init__.py")
    folders = Counter(room.parent for room in rooms if room.parent in rooms)
    assert {str(room): number for room, number in modules.items() if number > 14} == {}
    assert {str(room): number for room, number in folders.items() if number > 14} == {}
    assert {str(path): number for path, number in lines.items() if number > 300} == {}
    assert median(number for number in lines.values() if number) <= 90


def test_every_name_that_a_text_of_the_code_leads_to_is_there() -> None:
    """A dotted name in backticks, in a docstring or comment, is a way for the reader; it must not end at a wall."""
    lost = []
    for path in (path for floor in ("inventory", "costing", "workshop") for path in (ROOT / floor).rglob("*")):
        if path.suffix in (".py", ".html"):
            for name in re.findall(r"`((?:inventory|costing|workshop)(?:\.\w+)+)`", path.read_text("utf-8")):
                try:
                    pkgutil.resolve_name(name)
                except (AttributeError, ImportError):
                    lost.append(f"{path.relative_to(ROOT)}: {name}")
    assert lost == []


def test_nothing_is_read_from_outside_the_project() -> None:
    outside = [
        path.relative_to(ROOT).as_posix()
        for folder in ("inventory", "costing", "workshop", "tests")
        for path in (ROOT / folder).rglob("*.py")
        if path != Path(__file__) and "../shared" in path.read_text("utf-8")
    ]
    assert outside == []
