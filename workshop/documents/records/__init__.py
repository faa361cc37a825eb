"""From records to papers: reads what a paper needs and builds its frozen dataclass. Nothing here writes a record.

Whatever a paper needs and the records lack is refused in words that name the way out.
"""
