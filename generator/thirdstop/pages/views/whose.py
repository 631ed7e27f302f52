"""Whose nose, whose cheek: said wherever there are several sitters; what has no name is of the one at M."""

import re

from thirdstop.pages.views.metering import first_of
from thirdstop.staging.staging import Staging

_PARTS = "nose tip|nose|face|eyes|chin|chest|hands|feet|hair|forehead|(?:left|right) (?:cheek|ear|eye)"


def told(staging: Staging, text: str) -> str:
    """An aim or a sentence in which every part of a body has its owner; as it is where there is only one."""
    if len(staging.sitters) < 2:
        return text
    names = "|".join(sorted((re.escape(one.name) for one in staging.sitters), key=len, reverse=True))
    owned = re.compile(rf"\b(?:the )?(?:(?P<name>{names})(?:’s)? )?\b(?P<part>{_PARTS})\b")
    return owned.sub(lambda found: f"{found['name'] or first_of(staging)}’s {found['part']}", text)
