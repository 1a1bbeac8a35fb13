"""Measurements of what the program promises about time."""
