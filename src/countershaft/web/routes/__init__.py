"""Thin routes: parse, call the desk, build a page record, render."""
