"""Moving in: what stood in the old books on the day these begin."""
