"""Each module is a noun: how its saved records become rows, and how its rows are loaded. The columns are in `files.txt`."""
