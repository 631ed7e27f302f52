"""A row of the correction table."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Correction:
    """A row of 'if it looks wrong': what shows, and what to do about it, in words with numbers."""

    shows: str
    """'The shadow side (right cheek) reads f/4 + 5/10, 1/3 stop over.'"""
    do: str
    cause: str = ""
    """What was taken as the cause in computing it."""
    expect: str = ""
    """What the meter shows then."""
    moves: str = ""
    """What else changes."""
    brief: str = ""
    """The row in a line, for a card; empty where a card has it elsewhere."""
    reachable: bool = True
    """False where no click or place within room, picture and gear does it; `do` then says how far it goes."""
