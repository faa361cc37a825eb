"""Loading whom the workshop sells to and works for, and its fairs: what stands before anything is sold."""

from __future__ import annotations

from decimal import Decimal

from costing.sell.customers import services as customers
from costing.sell.fairs import services as fairs
from costing.sell.jobs import services as jobs
from costing.sell.jobs.cancellations import services as giving_up
from inventory.models import Article, Skin
from workshop.exchange.desk import Desk


def load(desk: Desk) -> None:
    """After the pieces are made: a job is ready when its skin is finished."""
    desk.articles = {article.number: article for article in Article.objects.all()}
    desk.hides = {skin.tag: skin for skin in Skin.objects.all()}
    load_customers(desk)
    load_jobs(desk)
    load_fairs(desk)
    load_papers(desk)


def load_customers(desk: Desk) -> None:
    for row in desk.rows("customers.csv"):
        with desk.writing(row):
            desk.customers[row["name"]] = customers.write(
                name=row["name"],
                postal_address=row["postal_address"],
                electronic_address=row["electronic_address"],
                tax_number=row["tax_number"],
                note=row["note"],
            )


def load_jobs(desk: Desk) -> None:
    """The hand-over is the sale of the work, which comes later."""
    for row in desk.rows("jobs.csv"):
        with desk.writing(row):
            job = jobs.take(
                number=row["job"],
                customer=desk.found(row, "customer", desk.customers, "customers.csv", row["customer"]),
                skin=desk.found(row, "skin", desk.hides, "skins.csv", row["skin"]),
                work=row["work"],
                price=row["price"],
                taken_on=row["taken_on"],
                deposit=Decimal(row["deposit"]),
                condition=row["condition"],
                ready_by=row["ready_by"],
                note=row["note"],
            )
            if row["ready_on"]:
                jobs.ready(job=job, on=row["ready_on"])
            if row["given_up_on"]:
                giving_up.take_over(job=job, on=row["given_up_on"], reason=row["given_up_why"], back=row["given_back"])
            desk.jobs[row["job"]] = job


def load_fairs(desk: Desk) -> None:
    for row in desk.rows("fairs.csv"):
        with desk.writing(row):
            desk.fairs[row.key()] = fairs.plan(
                name=row["name"],
                on=row["date"],
                place=desk.place(row),
                stall_minutes=Decimal(row["stall_minutes"]),
                note=row["note"],
            )


def load_pack_lists(desk: Desk) -> None:
    """What went to each fair and came back. Where it was meanwhile stands in moves.csv."""
    for row in desk.rows("fairs.csv"):
        if not (row["pieces"] or row["back"] or row["closed_on"]):
            continue
        with desk.checking(row):
            packed, back = (
                [desk.found(row, column, desk.articles, "articles.csv", number) for number in row[column]]
                for column in ("pieces", "back")
            )
            fairs.take_over(
                fair=desk.found(row, "name", desk.fairs, "fairs.csv", row.key()),
                packed=packed,
                back=back,
                closed_on=row["closed_on"],
            )


def load_papers(desk: Desk) -> None:
    """What issued papers and receipts say of seller, buyer and tax; each waits for its sale or payment."""
    for file, column, kept in (("papers.csv", "sale", desk.papers), ("receipts.csv", "receipt", desk.receipt_papers)):
        for row in desk.rows(file):
            if row[column] in kept:
                desk.complain(row, f"It is in row {kept[row[column]].number} already.", column)
            else:
                kept[row[column]] = row
