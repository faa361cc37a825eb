"""The chain of the books: one link for each row that says something for good. Links are only added."""

from django.db import models


class ChainLink(models.Model):
    """`digest` is the SHA-256 of what row `row` of a `kind` says and of the link before it, in hexadecimal.

    Positions run from 1 without a gap. Position 0 is no row of these books: a loaded folder came from books that ended, after `row`
    links, with this digest, and the first link stands on it. Between the upgrade that brought this table and the end of that
    `migrate` it says (`ADOPT`) that what was written before is still to be linked.
    """

    ADOPT = "adopt"

    position = models.PositiveBigIntegerField(primary_key=True)
    kind = models.CharField(max_length=12)
    row = models.PositiveBigIntegerField()
    digest = models.CharField(max_length=64)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["kind", "row"], name="chain_links_a_row_once")]

    def __str__(self) -> str:
        return f"{self.position} {self.digest[:16]}"
