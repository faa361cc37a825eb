"""What papers say: every fixed phrase by its key, one file a language, and the maker's own words over them."""
