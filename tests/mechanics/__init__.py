"""Tests of mechanics."""
