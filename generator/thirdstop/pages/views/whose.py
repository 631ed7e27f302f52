"""Whose nose, whose cheek: said wherever there are several sitters; what has no name is of the one at M."""

import re
from collections.abc import Iterable

from thirdstop.pages.views.metering import first_of
from thirdstop.staging.staging import Staging

_PARTS = "nose tip|nose|face|eyes|chin|chest|hands|feet|hair|forehead|(?:left|right) (?:cheek|ear|eye)"


def told(staging: Staging, text: str) -> str:
    """An aim or a sentence in which every part of a body has its owner; as it is where there is only one.

    Names of things stay as they are: a 'hair light' is nobody's hair.
    """
    if len(staging.sitters) < 2:
        return text
    names = _any(one.name for one in staging.sitters)
    things = _any(one.name for one in staging.items if one.kind not in ("backdrop", "camera"))
    owned = re.compile(
        rf"\b(?P<thing>{things})\b(?! (?:{_PARTS})\b)|"
        rf"\b(?:the )?(?:(?P<name>{names})(?:’s)? )?\b(?P<part>{_PARTS})\b"
    )

    def said(found: re.Match[str]) -> str:
        if found["part"] is None:
            return found[0]
        return f"{found['name'] or first_of(staging)}’s {found['part']}"

    return owned.sub(said, text)


def _any(names: Iterable[str]) -> str:
    """A pattern of these names, the longest first; without any it matches nowhere."""
    return "|".join(sorted(map(re.escape, names), key=len, reverse=True)) or "(?!)"
