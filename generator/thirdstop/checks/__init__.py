"""Staging and readings to findings: one file a check, registered in one place."""
