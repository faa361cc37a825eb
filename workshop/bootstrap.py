"""Opening the workshop: folder, secret, database, roles, the demonstration. Every step may be repeated without harm."""

import os
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.core.management.utils import get_random_secret_key
from django.db import DatabaseError

from costing.report.usage import report as usage_report
from inventory.base import selectors as workshop
from inventory.base.accounting import services as accounting
from inventory.errors import Refused
from inventory.ledger.usage import selectors as usage
from inventory.models import Article, Workshop
from inventory.people import services as people
from inventory.people.links import services as links
from inventory.people.links.models import Door
from workshop import transfer
from workshop.answers import daily as answers, restock
from workshop.phone import addresses
from workshop.reports import answers as reports
from workshop.settings import kept_key
from workshop.setup import door
from workshop.transfer import aside
from workshop.transfer.copies import loss, restoring, services as copies

DEMO = settings.BASE_DIR / "fixtures" / "demo"
DEMO_ARTICLE, DEMO_MONTH = "H03", "2025-01"
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - names to recognise, not to listen on
OWN_NAMES = ("localhost", "127.0.0.1", "[::1]")


def prepare(*, empty: bool) -> bool:
    """Make what is missing, readable by its owner only. True when the demonstration was loaded just now."""
    os.umask(0o077)
    restoring.finish(settings.DATA_DIR)
    _data_folder(settings.DATA_DIR)
    try:
        loss.refuse(settings.DATA_DIR, empty=empty)
        _secret(settings.SECRET_FILE)
        loaded = _fill(empty=empty)
        loss.opened(settings.DATA_DIR)
    except DatabaseError as fault:
        raise loss.damaged(fault) from None
    except OSError as fault:
        raise Refused(
            f"{settings.DATA_DIR} cannot be used: {fault.strerror}. Free some room, or look at its permissions."
        ) from None
    return loaded


def is_new() -> bool:
    """Nothing of a workshop is in a data folder that was named: perhaps its name was mistyped."""
    folder, named = settings.DATA_DIR, os.environ.get("TAWERY_DATA") and not os.environ.get("DATABASE_URL")
    return bool(named) and not aside.beside(folder, restoring.WORD) and not (folder.is_dir() and any(folder.iterdir()))


def copy_of_the_day() -> str:
    """A copy where there is none of this day; what came of it in a line, nothing where there was one."""
    try:
        made = copies.make_daily()
    except Refused as refusal:
        return f"No copy was made today: {refusal}"
    return f"Copy of today: {made.file}" if made else ""


def copy_if_due() -> None:
    """While the server runs, each hour. What keeps a copy from being made, Today says in a week."""
    with suppress(DatabaseError), workshop.remembered(), workshop.at_home():
        copy_of_the_day()


def _fill(*, empty: bool) -> bool:
    """Tables, owner and first records. True when the demonstration was loaded just now."""
    try:
        call_command("migrate", verbosity=0, interactive=False)
    except DatabaseError:
        if not loss.begin_anew(settings.DATA_DIR):
            raise
        call_command("migrate", verbosity=0, interactive=False)
    people.owner()
    _cut_type()
    if Workshop.objects.exists():
        return False
    if empty:
        accounting.set_up()
        return False
    transfer.load(DEMO)
    return True


def link(address: str) -> str:
    """A sign-in link for the owner that works once."""
    return f"{address}{door.path(links.make(person=people.owner(), door=Door.LINK))}"


def address(host: str, port: int) -> str:
    """Where to open the workshop on this machine, by a name that the server answers to."""
    name = "localhost" if host in (*EVERYWHERE, "127.0.0.1", "::1") else f"[{host}]" if ":" in host else host
    if name not in settings.ALLOWED_HOSTS:
        settings.ALLOWED_HOSTS.append(name)
    return f"http://{name}:{port}"


def answer_on_network(host: str) -> None:
    """A server that listens to all answers to this machine's own address in its network, too, so that a phone finds it."""
    own = addresses.own_address() if host in EVERYWHERE else ""
    if own and own not in settings.ALLOWED_HOSTS:
        settings.ALLOWED_HOSTS.append(own)


def hint(host: str, port: int) -> str:
    """How another device gets in, when the server listens to all of them."""
    if host not in EVERYWHERE:
        return ""
    names = [name for name in settings.ALLOWED_HOSTS if name not in OWN_NAMES]
    if names:
        found = " or ".join(f"http://{name}:{port}" for name in names)
        return f"From a phone: {found}. A code for its camera: the menu at the top right, Connect a phone."
    return (
        "A phone is refused until the server knows its own name there: "
        "set TAWERY_HOSTS to this machine's name or address in your network and open again."
    )


def lines() -> Iterator[str]:
    """The four answers in a few lines; for an empty workshop, what to do first."""
    yield from restock.restock_lines(restock.restock_answer(workshop.today()))
    article = _article()
    if article is None:
        yield "No article is finished yet. Today shows the six steps to a first price."
        return
    yield from answers.price_lines(answers.price_answer(article.number, None))
    yield _label(article)
    month = DEMO_MONTH if article.number == DEMO_ARTICLE else None
    months = usage.months_with_entries()
    if month or months:
        yield from reports.month_lines(reports.shape(usage_report.month(month or usage.month_text(months[0]))))


def _article() -> Article | None:
    demo = Article.objects.filter(number=DEMO_ARTICLE).first()
    return demo or Article.objects.order_by("-finished_on", "-pk").first()


def _label(article: Article) -> str:
    from workshop.documents import printing  # brings in the drawing library

    try:
        paper = printing.label("care", article.number)
    except Refused as refusal:
        return f"No care label of {article.number} yet: {refusal}"
    folder = settings.DATA_DIR / "papers"
    folder.mkdir(exist_ok=True)
    target = folder / f"care-{article.number.replace('/', '-')}.pdf"
    target.write_bytes(paper)
    return f"Care label of {article.number}: {target}"


def _cut_type() -> None:
    """Cutting the type of papers and charts takes seconds, once; no page shall wait for it."""
    from workshop.documents.type import fonts  # brings in the drawing library

    fonts.register()


def _data_folder(folder: Path) -> None:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as fault:
        raise Refused(
            f"The data folder {folder} cannot be made: {fault.strerror}. Set TAWERY_DATA to another."
        ) from None
    # The paper kit knows no settings; it keeps its cut fonts where the data is.
    os.environ["TAWERY_DATA"] = str(folder)


def _secret(file: Path) -> None:
    """Written once, readable by its owner only; taken over at once so that this run's sign-ins stay good."""
    if not file.exists():
        aside.write(file, get_random_secret_key().encode("ascii"))
    key = kept_key(file)
    if not key:
        raise Refused(
            f"The key {file} is empty, damaged or cannot be read. Put it back from a backup, or delete the file: a new one is "
            "made, everybody signs in anew, and nothing in the books is lost. Nothing was changed."
        )
    settings.SECRET_KEY = key
