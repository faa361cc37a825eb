"""The letters of papers: which face has one, how they join and run, and what a text takes in points."""
