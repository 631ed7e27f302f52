"""Which rules of the safety page a recipe's own rig brings up."""

from collections.abc import Iterator

from thirdstop.checks.cautions import has_shiny, may_be, needs_lifting, needs_steps
from thirdstop.checks.overhead import is_child
from thirdstop.staging.staging import Staging

RULES = ("child", "stands", "booms", "lifting", "steps", "modelling", "battery", "mains", "shiny")
"""Anchors of the safety page's rules, in its order."""


def minds_of(staging: Staging) -> tuple[str, ...]:
    """Anchors of the rules that this rig brings up."""
    return tuple(_minds(staging))


def _minds(staging: Staging) -> Iterator[str]:
    held = [item.support for item in staging.items if item.support is not None]
    found = {
        "child": any(is_child(sitter) for sitter in staging.sitters),
        "stands": bool(held),
        "booms": any(support.boom for support in held),
        "lifting": needs_lifting(staging),
        "steps": needs_steps(staging),
        "modelling": any(lamp.modelling for lamp in staging.lamps),
        "battery": any(may_be(lamp, "battery") for lamp in staging.lamps),
        "mains": any(may_be(lamp, "mains") for lamp in staging.lamps),
        "shiny": has_shiny(staging),
    }
    yield from (rule for rule in RULES if found[rule])
