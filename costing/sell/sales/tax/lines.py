"""What each line of a paper comes to with its tax, so that the lines add up to the paper. Totals are the rules' own."""

from collections.abc import Sequence

from costing.sell.rounding.rules import Level, Taxed
from costing.sell.sales.tax.rules import Mode, PaperLine, Summary, key_of, line_nets
from inventory.money import allocate, half_up


def lines_taxed(lines: Sequence[PaperLine], paper: Summary, places: int = 2) -> list[Taxed]:
    """Each line's net, tax and gross. Not registered: net and gross are one, tax is nothing.

    Rounded line by line each stands for itself. Else, prices with tax: nets as `line_nets`, tax the rest; prices without:
    the tax of the rate shared over its lines by their amounts, largest remainder.
    """
    nothing = half_up(0, places)
    if paper.mode is Mode.NOT_REGISTERED:
        return [Taxed(amount, nothing, amount) for amount in paper.amounts]
    if paper.rounding.level is Level.LINE:
        pairs = zip(lines, paper.amounts, strict=True)
        return [
            paper.rounding.taxed(amount, key_of(line)[0], places, includes_tax=line.includes_tax)
            for line, amount in pairs
        ]
    nets = line_nets(lines, paper, places)
    if any(line.includes_tax for line in lines):
        return [Taxed(net, gross - net, gross) for net, gross in zip(nets, paper.amounts, strict=True)]
    taxes = [nothing] * len(lines)
    for rate in paper.rates:
        mine = [place for place, line in enumerate(lines) if key_of(line) == rate.key]
        weights = [abs(nets[place]) for place in mine]
        if any(weights):
            for place, share in zip(mine, allocate(rate.tax, weights, places), strict=True):
                taxes[place] = share
    return [Taxed(net, share, net + share) for net, share in zip(nets, taxes, strict=True)]
