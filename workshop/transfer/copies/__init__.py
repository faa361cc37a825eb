"""Copies of a whole workshop, each one file: made while people write, looked at, kept by age, put back."""
