"""Staging to Readings: the exposure engine. Knows no files, no HTML and no recipe text."""
