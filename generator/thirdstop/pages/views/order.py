"""In which order a set is built: nobody sits under anything that is still going up."""

from thirdstop.staging.staging import Item, Staging

_KINDS = ("backdrop", "camera", "lamp", "card", "blocker")

RULE = (
    "Nobody sits or stands on the mark, and nobody under anything, until all that stands or hangs is up, "
    "bagged and checked."
)
"""Said over every recipe's steps, its own ones too."""


def before_sitters(staging: Staging) -> tuple[Item, ...]:
    """What is put up while nobody is on the set: backdrop, camera, lamps, cards, blockers."""
    return tuple(item for item in _things(staging) if not _held_low(staging, item))


def after_sitters(staging: Staging) -> tuple[Item, ...]:
    """What a hand or the lap holds, lower than every nose: it needs the sitter to be there."""
    return tuple(item for item in _things(staging) if _held_low(staging, item))


def _things(staging: Staging) -> list[Item]:
    items = [item for kind in _KINDS for item in staging.items if item.kind == kind]
    return [item for item in items if item.kind != "backdrop" or _hangs(staging)]


def _hangs(staging: Staging) -> bool:
    """Whether the backdrop is a sheet; else it is the wall, and stands already."""
    return any(panel.role == "backdrop" for panel in staging.scene.panels)


def _held_low(staging: Staging, item: Item) -> bool:
    lowest_m = min(float(sitter.nose_m[2]) for sitter in staging.sitters)
    return item.kind in ("card", "blocker") and item.support is None and item.height_m < lowest_m


def check_says(staging: Staging) -> str:
    """What is looked at before anyone comes onto the set."""
    supports = [item.support for item in staging.items if item.support is not None]
    if not supports:
        return "With nobody on the set yet, look: nothing up there can come loose."
    parts = ["every bag hangs clear of the floor", "every knob is tight", "leads are taped"]
    if any(support.boom for support in supports):
        parts.insert(1, "the boom is balanced and has its safety line")
    return f"With nobody on the set yet, check: {', '.join(parts)}."


MOVED = "If something must be moved after all, whoever is under it gets up first."
"""Said where the strings are checked on the sitter."""
