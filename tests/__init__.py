"""Tests of countershaft; the folders mirror the source."""
