"""Neutral blocks of a paper, and the ways to show them: on a page that prints, and as plain text."""
