"""The page that prints labels: what, on which sheet, where to begin, how many; with a picture of the first page."""
