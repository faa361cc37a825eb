"""Recipes by version: their lines, and their steps, which are frozen with them."""

from collections.abc import Iterator, Mapping
from functools import partial
from typing import Any

from costing.make.recipes import services as recipes
from costing.make.recipes.rules import Span, spans, tie
from costing.models import RecipeLine, RecipeVersion
from inventory.errors import Refused
from inventory.materials import services as materials
from workshop.transfer.files.work import kind_known
from workshop.transfer.format import writers
from workshop.transfer.format.columns import FILES, Cells
from workshop.transfer.format.rows import CsvRow
from workshop.transfer.format.session import ImportSession

_OF_WEIGHT = "percent_of_weight"
_LINE = ("material", "amount", "basis")
_DESCRIBES = ("name", "method", "litres_per_skin", "note")


def saved_recipes() -> Iterator[Cells]:
    """A version of steps alone has one row, which only describes it."""
    versions = RecipeVersion.objects.select_related("recipe").prefetch_related("lines__material", "lines__step")
    for version in sorted(versions, key=lambda version: (version.recipe.code, version.number)):
        lines = sorted(version.lines.all(), key=lambda line: line.position)
        for line in lines:
            line.version = version
            amount, unit = (
                (line.amount, "%")
                if line.basis == _OF_WEIGHT
                else writers.typed(line.typed, line.amount, line.material)
            )
            yield FILES["recipes.csv"].cells(line, amount=amount, unit=unit)
        if not lines:
            yield FILES["recipes.csv"].cells(RecipeLine(version=version), amount=None, day=None)


def load_recipes(session: ImportSession) -> None:
    """Rows of one recipe and version are its lines in order; what describes the version may be on its first row only.

    A version of steps alone has one row, without a material. Its steps are written with it: both are frozen together.
    """
    steps = _steps(session)
    versions = session.by_name("recipes.csv").values()
    for rows in sorted(versions, key=lambda rows: (rows[0]["recipe"], rows[0]["version"])):
        first, key = rows[0], rows[0].name
        bare = key in steps and len(rows) == 1 and not any(first[name] for name in _LINE)
        known = spans(steps.get(key, ()))
        lines = [] if bare else session.checked(rows, partial(_line, known))
        if lines is None:
            continue
        if not first["method"]:
            session.complain(first, "It is missing. The first row of a recipe's version names it.", "method")
            continue
        if not session.agree(rows, _DESCRIBES, "version"):
            continue
        with session.writing(*rows, count=len(lines)):
            session.refuse_spoiled(first, "steps.csv")
            version = recipes.write(
                **session.arguments(first, *_LINE, "step", "day", "how"), lines=lines, steps=steps.get(key, ())
            )
            session.keep(first, version)
            if key in steps:
                session.written[FILES["steps.csv"].noun] += len(steps[key])
    for row in session.rows("steps.csv"):
        if row.name not in session.known["recipes.csv"]:
            with session.checking(row):
                session.refuse_spoiled(row)
                version_of(session, row)


def version_of(session: ImportSession, row: CsvRow) -> Any:
    """The version that a row of a step or of a batch names by its two columns."""
    return session.find("recipes.csv", f"{row['recipe']} v{row['version']}", "recipe")


def line_of(session: ImportSession, row: CsvRow) -> RecipeLine:
    """The line that a row of a batch names by its number."""
    batch = session.named(row, "batch")
    found = RecipeLine.objects.filter(version=batch and batch.version, position=row["line"]).first()
    if found is None:
        raise Refused(f"The recipe of the batch has no line {row['line']}. Number them from 1.", field="line")
    return found


def _steps(session: ImportSession) -> dict[str, list[recipes.Step]]:
    """The steps of each version. A bad one is named by its own row, and its version is not judged then."""
    found: dict[str, list[recipes.Step]] = {}
    rows_of: dict[tuple[str, str], int] = {}
    for row in session.rows("steps.csv"):
        with session.checking(row):
            step = recipes.checked(recipes.Step(**kind_known(session.arguments(row))))
            earlier = rows_of.setdefault((row.name, step.name.casefold()), row.number)
            if earlier != row.number:
                raise Refused(f"It is in row {earlier} already. Give each step a name of its own.", field="name")
            found.setdefault(row.name, []).append(step)
    return found


def _line(known: Mapping[str, Span], session: ImportSession, row: CsvRow) -> recipes.Line:
    """A line that can be weighed out, in the step that it names or that runs on its day.

    Folders from before steps were named here may say “bath, slowly” for the step Bath, or only how it is added.
    """
    session.refuse_spoiled(row)
    session.refuse_spoiled(row, "steps.csv")
    for name in _LINE:
        if not row[name]:
            raise Refused("It is missing and is needed.", field=name)
    material = session.named(row, "material")
    unit = row["unit"] or ("%" if row["basis"] == _OF_WEIGHT else material.unit)
    if row["basis"] != _OF_WEIGHT:
        materials.to_base(material, row["amount"], unit)
    words, comma, rest = row["step"].partition(",")
    step = next((name for name in known if name.casefold() == words.strip().casefold()), "")
    how = ", ".join(filter(None, ((rest if comma else "").strip() if step else row["step"], row["how"])))
    step, day = tie(step, row["day"], known)
    return recipes.Line(material, row["amount"], unit, row["basis"], step, day, how)
