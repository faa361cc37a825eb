"""The files of a folder and their columns: the one list that loading, saving and the reference page agree on."""

from __future__ import annotations

from costing.make.recipes.models import TaskKind
from costing.make.recipes.rules import BASES
from costing.make.recipes.services import MOST_MINUTES
from costing.models import Batch, RecipeStep, StepMark
from inventory.models import OUTWARD_REASONS, CostFlow, Method, Place, Skin
from workshop.exchange.columns import (
    HELD_DECIMALS,
    Column,
    choice,
    code,
    day,
    file_name,
    moment,
    number,
    recipe_unit,
    share,
    stays,
    substance,
    tags,
    text,
    unit,
    whole,
    yes_no,
)
from workshop.exchange.files_selling import SELLING_TABLES, TERMS
from workshop.exchange.table import Table, seq

_place = Column("place", text(60), empty="")


_supplier = Column("supplier", text(80), empty="")


_note = Column("note", text(200), empty="")


_money = number(decimals=HELD_DECIMALS, zero=True)


_USES = [word for word in RecipeStep.Uses.values if word]


SETTINGS: dict[str, Column] = {
    column.name: column
    for column in (
        Column("name", text(80)),
        Column("maker", text(80)),
        Column("postal_address", text(200)),
        Column("electronic_address", text(120)),
        Column("currency", text(3)),
        Column("cost_flow", choice(CostFlow.values)),
        Column("wage_per_hour", _money),
        Column("overhead_per_hour", _money),
        Column("frame_wear", _money),
        Column("vat_percent", number(decimals=HELD_DECIMALS, zero=True)),
        Column("price_step", _money),
        Column("closed_to", day),
        Column("today", day),
    )
} | TERMS


_TABLES = (
    Table(
        "workshop.csv",
        "settings",
        (Column("key", choice(SETTINGS), needed=True), Column("value", text(200), empty="")),
        key=("key",),
        fields=dict.fromkeys([*SETTINGS, "to", "on", "prefix", "digits"], "value"),
    ),
    Table(
        "rates.csv",
        "changes of rates",
        (
            Column("since", day, needed=True),
            Column("wage_per_hour", _money),
            Column("overhead_per_hour", _money),
            Column("frame_wear", _money),
            Column("vat_percent", number(decimals=HELD_DECIMALS, zero=True)),
            Column("price_step", _money),
        ),
        key=("since",),
    ),
    Table(
        "suppliers.csv",
        "suppliers",
        (Column("name", text(80), needed=True), _note),
        key=("name",),
        fields={"supplier": "name"},
    ),
    Table(
        "places.csv",
        "places",
        (
            Column("name", text(60), needed=True),
            Column("kind", choice(Place.Kind.values), empty="shelf"),
            Column("litres", number()),
            Column("holds", whole(least=1, most=1000), empty=1),
        ),
        key=("name",),
    ),
    Table(
        "channels.csv",
        "channels",
        (
            Column("name", text(60), needed=True),
            Column("fee_percent", number(decimals=HELD_DECIMALS, zero=True), empty=0),
            Column("fixed_cost", _money, empty=0),
            Column("usual", yes_no, empty=False),
            _place,
        ),
        key=("name",),
    ),
    Table(
        "materials.csv",
        "materials",
        (
            Column("code", code, needed=True),
            Column("name", text(80), needed=True),
            Column("substance", substance, empty=""),
            Column("unit", unit, needed=True),
            Column("density_g_per_ml", number(decimals=HELD_DECIMALS)),
            Column("pack_quantity", number()),
            Column("lead_days", whole(), empty=0),
            Column("safety_days", whole(), empty=0),
            Column("shelf_life_days", whole()),
            Column("hazard_note", text(200), empty=""),
            _place,
            _supplier,
            Column("opening_date", day),
            Column("opening_quantity", number(zero=True)),
            Column("opening_value", _money, empty=0),
            seq(),
        ),
        key=("code",),
        fields={"on": "opening_date", "quantity": "opening_quantity", "value": "opening_value"},
    ),
    Table(
        "openings.csv",
        "further openings",
        (
            Column("date", day, needed=True),
            Column("material", code, needed=True),
            Column("quantity", number(), needed=True),
            Column("unit", unit, empty=""),
            Column("value", _money, empty=0),
            seq(),
        ),
        fields={"on": "date"},
    ),
    Table(
        "recipes.csv",
        "recipe lines",
        (
            Column("recipe", code, needed=True),
            Column("version", whole(least=1), needed=True),
            Column("name", text(80), empty=""),
            Column("method", choice(Method.values), empty=""),
            Column("litres_per_skin", number()),
            _note,
            Column("material", code, empty=""),
            Column("amount", number()),
            Column("unit", recipe_unit, empty=""),
            Column("basis", choice(BASES), empty=""),
            Column("step", text(80), empty=""),
            Column("day", whole(), empty=0),
        ),
        key=("recipe", "version"),
        fields={"code": "recipe"},
    ),
    Table(
        "steps.csv",
        "steps",
        (
            Column("recipe", code, needed=True),
            Column("version", whole(least=1), needed=True),
            Column("name", text(40), needed=True),
            Column("task", text(80), empty=""),
            Column("wait_days", whole(), empty=0),
            Column("lasts_days", whole(), empty=0),
            Column("grace_days", whole(), empty=0),
            Column("every_days", whole(), empty=0),
            Column("repeat", text(40), empty=""),
            Column("minutes", whole(most=MOST_MINUTES), empty=0),
            Column("minutes_per_skin", whole(most=MOST_MINUTES), empty=0),
            Column("repeat_minutes", whole(most=MOST_MINUTES), empty=0),
            Column("uses", choice(_USES), empty=""),
            Column("kind", choice(TaskKind.values)),
            Column("caution", text(300), empty=""),
        ),
        key=("recipe", "version"),
    ),
    Table(
        "skins.csv",
        "skins",
        (
            Column("tag", code, needed=True),
            Column("species", text(60), needed=True),
            Column("sex_age", text(40), empty=""),
            Column("owner", choice(Skin.Owner.values), empty="mine"),
            Column("customer", text(80), empty=""),
            Column("date_in", day, needed=True),
            Column("green_kg", number()),
            Column("price", _money, empty=0),
            _supplier,
            Column("source", text(200), empty=""),
            Column("defects", text(300), empty=""),
            Column("wet_dm2", number()),
            Column("dry_dm2", number()),
            _place,
        ),
        key=("tag",),
        fields={"on": "date_in", "green_weight": "green_kg", "wet_area": "wet_dm2", "dry_area": "dry_dm2"},
    ),
    Table(
        "batches.csv",
        "batches",
        (
            Column("batch", code, needed=True),
            Column("recipe", code, needed=True),
            Column("version", whole(least=1), needed=True),
            Column("start", day, needed=True),
            Column("litres", number()),
            Column("planned_skins", whole(most=1000), empty=0),
            Column("skins", stays, empty=()),
            Column("share_by", choice(Batch.ShareBy.values), empty="head"),
            _place,
            Column("frames", text(60), empty=""),
            _note,
        ),
        key=("batch",),
        fields={"number": "batch", "skin": "skins", "on": "skins"},
    ),
    Table(
        "marks.csv",
        "marks",
        (
            Column("date", day, needed=True),
            Column("batch", code, needed=True),
            Column("step", text(40), needed=True),
            Column("kind", choice(StepMark.Kind.values), empty=StepMark.Kind.DONE.value),
            _note,
        ),
        key=("batch",),
        fields={"on": "date"},
    ),
    Table(
        "readings.csv",
        "readings",
        (
            Column("at", moment, needed=True),
            Column("batch", code, empty=""),
            Column("skin", code, empty=""),
            Column("ph", number(decimals=HELD_DECIMALS, signed=True)),
            Column("celsius", number(decimals=HELD_DECIMALS, signed=True)),
            Column("weight_g", number(decimals=HELD_DECIMALS)),
            Column("note", text(500), empty=""),
            Column("photo", file_name, empty=""),
        ),
        fields={"skins": "skin", "weight": "weight_g"},
    ),
    Table(
        "deliveries.csv",
        "delivery lines",
        (
            Column("date", day, needed=True),
            Column("ref", text(40), empty=""),
            Column("supplier", text(80), needed=True),
            Column("carriage", _money, empty=0),
            Column("material", code, needed=True),
            Column("packs", number(decimals=HELD_DECIMALS), needed=True),
            Column("pack_quantity", number(), needed=True),
            Column("unit", unit, empty=""),
            Column("pack_price", _money, needed=True),
            seq(),
        ),
        fields={"on": "date", "quantity": "pack_quantity"},
    ),
    Table(
        "uses.csv",
        "uses",
        (
            Column("date", day, needed=True),
            Column("batch", code, empty=""),
            Column("material", code, needed=True),
            Column("quantity", number(), needed=True),
            Column("unit", unit, empty=""),
            Column("reason", choice(OUTWARD_REASONS), empty=""),
            Column("skins", tags, empty=()),
            Column("planned", number(zero=True)),
            Column("sale", code, empty=""),
            _note,
            seq(),
        ),
        fields={"on": "date"},
    ),
    Table(
        "counts.csv",
        "counts",
        (
            Column("date", day, needed=True),
            Column("material", code, needed=True),
            Column("quantity", number(zero=True), needed=True),
            Column("unit", unit, empty=""),
            _note,
            seq(),
        ),
        fields={"on": "date", "counted": "quantity"},
    ),
    Table(
        "losses.csv",
        "losses",
        (
            Column("date", day, needed=True),
            Column("tag", code, needed=True),
            Column("reason", text(200), needed=True),
            Column("step", text(40), empty=""),
            Column("spread", yes_no, empty=False),
        ),
        fields={"on": "date"},
    ),
    Table(
        "labour.csv",
        "labour lines",
        (
            Column("date", day, needed=True),
            Column("batch", code, empty=""),
            Column("skins", tags, empty=()),
            Column("task", text(80), needed=True),
            Column("minutes", number(decimals=HELD_DECIMALS), needed=True),
            Column("who", text(80), empty=""),
            Column("paid", _money, empty=0),
            Column("laced", yes_no),
            Column("kind", choice(TaskKind.values)),
        ),
        fields={"on": "date"},
    ),
    Table(
        "articles.csv",
        "articles",
        (
            Column("date", day, needed=True),
            Column("article", code, needed=True),
            Column("kind", text(60), needed=True),
            Column("skins", tags, needed=True, empty=()),
            Column("share", share),
            Column("area", number()),
            Column("unit", unit, empty="dm2"),
            Column("grade", text(12), empty=""),
            Column("method", choice(Method.values), needed=True),
            Column("list_price", _money),
            _place,
            Column("together", code, empty=""),
            Column("wage_per_hour", _money),
            Column("overhead_per_hour", _money),
            Column("frame_wear", _money),
        ),
        key=("article",),
        fields={"on": "date", "number": "article"},
    ),
    Table(
        "regrades.csv",
        "pieces judged anew",
        (
            Column("date", day, needed=True),
            Column("article", code, needed=True),
            Column("grade", text(12), empty=""),
            Column("area", number()),
            Column("unit", unit, empty="dm2"),
            _note,
        ),
        fields={"on": "date"},
    ),
)


TABLES: dict[str, Table] = {table.file: table for table in (*_TABLES, *SELLING_TABLES)}


PHOTOS = "photos"


LEDGER = ("materials.csv", "openings.csv", "deliveries.csv", "uses.csv", "counts.csv")
