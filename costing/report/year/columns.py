"""Which columns the tables of a year's results have, and which form shows them.

A workbook keeps the headings that it had before the words changed (`kept`): somebody may have linked to them.
"""

from inventory.report import Column, Form, Kind

NOT_ON_PAPER = Form.ALL & ~Form.PAPER
EARNED = (
    Column("lines", "Lines", Kind.COUNT, share=0.8, far=True),
    Column("taken", "Sales", Kind.MONEY, share=1.2, far=True, kept="Taken"),
    Column("selling", "Selling costs", Kind.MONEY, share=1.2, far=True),
    Column("book", "Book cost", Kind.MONEY, share=1.2, far=True),
    Column("left", "Contribution", Kind.MONEY, share=1.4, kept="Left"),
    Column("hours", "Hours", Kind.HOURS, far=True),
    Column("per_hour", "Per hour", Kind.MONEY, share=1.1),
    Column("against_full", "Against full cost", Kind.MONEY, share=1.3, far=True, kept="Against full"),
)
GROUPED = {
    "species": Column("species", "Species", share=2.2, blank="no species"),
    "method": Column("method", "Method", share=2.2, blank="no method"),
    "channel": Column("channel", "Channel", share=2.2, blank="no channel"),
    "fair": Column("fair", "Fair", share=2.8, blank="no fair"),
}
# A fair as a person reads it: files name it by its name and day, as its own file does.
FAIR = (
    Column("fair", "Fair", forms=Form.DATA),
    Column("named", "Fair", forms=Form.READ, share=2.8, blank="no fair"),
    Column("on", "Day", Kind.DAY, Form.READ, far=True, blank="", under="named"),
)
PIECES = (
    Column("piece", "Piece", share=2.4),
    Column("papers", "Papers", share=1.4, far=True),
    Column("on", "Day", Kind.DAY, NOT_ON_PAPER, far=True),
    *(Column(name, column.title, forms=Form.DATA) for name, column in GROUPED.items()),
    Column("asked", "List price", Kind.MONEY, NOT_ON_PAPER, far=True, kept="Asked"),
    Column("discount", "Discount", Kind.MONEY, Form.DATA),
    Column("lines", "Lines", Kind.COUNT, Form.DATA),
    *EARNED[1:],
)
FAIRS = (
    Column("fair", "Fair", share=2.8),
    Column("on", "Day", Kind.DAY, share=1.7, far=True),
    Column("takings", "Takings", Kind.MONEY, share=1.2, far=True),
    Column("goods", "Goods at book cost", Kind.MONEY, share=1.2, far=True, kept="Goods at book"),
    Column("costs", "Costs", Kind.MONEY, share=1.2, far=True),
    Column("left", "Contribution", Kind.MONEY, share=1.4, kept="Left"),
    Column("stall_hours", "Stall hours", Kind.HOURS, far=True),
    Column("per_stall_hour", "Profit per hour", Kind.MONEY, share=1.2, kept="Per stall hour"),
    Column("break_even", "Break-even takings", Kind.MONEY, share=1.3, far=True, kept="Breaks even at"),
)
DISPOSALS = (
    Column("kind", "Kind", share=1.6, kept="What"),
    Column("reason", "Reason", share=3),
    Column("count", "Number", Kind.COUNT, far=True, kept="How often"),
    Column("amount", "Amount", Kind.MONEY, share=1.2),
)
WAITED = (
    Column("piece", "Piece", share=1.3),
    Column("what", "What", share=1.6, far=True),
    Column("date_in", "Skin in", Kind.DAY, share=1.6, far=True, kept="Skin came"),
    Column("finished_on", "Finished", Kind.DAY, share=1.6, far=True),
    Column("left_on", "Gone", Kind.DAY, share=1.6, far=True, blank="still here", kept="Left"),
    Column("to_finish", "Days to finish", Kind.COUNT, share=1.2, far=True),
    Column("days", "Days, total", Kind.COUNT, share=1.2, kept="Days in all"),
    Column("hours", "Working hours", Kind.HOURS, kept="Hours of hands"),
)
UNLOGGED = (
    Column("tag", "Skin", share=1.3),
    Column("species", "Species", share=2.2),
    Column("minutes", "Minutes", Kind.HOURS, share=1.2),
    Column("usual_low", "Least usual", Kind.HOURS, share=1.2),
)
COSTS = (
    Column("label", "Heading", forms=Form.READ, share=4),
    Column("line", "Line", forms=Form.DATA),
    Column("heading", "Heading", forms=Form.DATA),
    Column("amount", "With stock", Kind.MONEY, share=1.2),
    Column("paid", "Cash basis", Kind.MONEY, share=1.2),
)
EQUIPMENT = (
    Column("what", "What", share=2.4),
    Column("on", "Bought", Kind.DAY, share=1.6, far=True),
    Column("life", "Years", Kind.COUNT, share=0.8, far=True),
    Column("price", "Price", Kind.MONEY, share=1.2, far=True),
    Column("before", "Before", Kind.MONEY, share=1.2, far=True),
    Column("share", "This year", Kind.MONEY, share=1.2),
    Column("left", "Not written off", Kind.MONEY, share=1.4),
)
CONTRACTORS = (
    Column("person", "Person", share=3),
    Column("costs", "As a cost", Kind.MONEY, share=1.2, far=True),
    Column("help", "Help in pieces", Kind.MONEY, share=1.2, far=True),
    Column("amount", "Total", Kind.MONEY, share=1.2),
)
SUMMARY = (
    Column("part", "Part"),
    Column("figure", "Figure"),
    Column("value", "Value", Kind.EXACT),
    Column("unit", "Unit"),
)
LIMIT = (
    Column("span", "Span", forms=Form.JSON),
    Column("turnover", "Turnover that counts", Kind.MONEY),
    Column("limit", "Limit in the terms", Kind.MONEY),
    Column("left", "Remaining", Kind.MONEY),
    Column("used_percent", "Used", Kind.PERCENT, kept="used"),
    Column("from", "From", Kind.DAY),
    Column("passed_on", "Passed on", Kind.DAY),
)
