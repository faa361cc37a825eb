"""Bringing in a maker's own spreadsheet: read as it is, asked about once on a single page, written through the services.

`book` opens the file, `heads` finds the columns, `styles` and `values` read the cells, `kinds` says what can be brought in,
`reading` puts them together with the maker's answers, and `bringing` writes. Not the folder of `transfer`: that one is the
program's own, this one is anybody's.
"""
