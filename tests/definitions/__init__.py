"""Tests of the transmission file."""
