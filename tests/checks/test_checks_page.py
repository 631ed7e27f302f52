"""The page on the checks says what the code does."""

import re
from pathlib import Path

import pytest

from thirdstop.checks import (
    ambient,
    battery,
    blocker_shadow,
    brim,
    columns,
    evenness,
    flash,
    frame_filled,
    glare,
    held,
    in_frame,
    into_lens,
    overhead,
    room_fit,
    sitter_shadow,
    sitters_in_frame,
    statics,
)
from thirdstop.checks.registry import CHECKS
from thirdstop.constants import NEAREST_PANEL_M

PAGE = (Path(__file__).parents[2] / "docs" / "checks.md").read_text(encoding="utf-8")


def test_every_check_has_its_section_in_order() -> None:
    """Headings are the registry's titles and names, in its order, and carry its paragraphs."""
    found = re.findall(r"^### (.+) \(`(.+)`\)$", PAGE, re.MULTILINE)
    assert found == [(one.title, one.name) for one in CHECKS]
    for one in CHECKS:
        assert f"\n{one.explains}\n" in PAGE


@pytest.mark.parametrize(
    ("row", "limit"),
    [
        ("| in-frame | clear of the picture |", f"{in_frame.NEAR_M * 100:.0f} cm"),
        ("| frame-filled | backdrop past the picture's edge |", f"{frame_filled.WANTED_M * 100:.0f} cm"),
        (
            "| sitters-in-frame | in a head, what the top edge may crop |",
            f"down to {sitters_in_frame.BROW_M * 100:.0f} cm over the pupils",
        ),
        (
            "| sitters-in-frame | shortest lens that is suggested |",
            f"{sitters_in_frame.SHORTEST_MM} mm",
        ),
        ("| room-fit | clear of walls, ceiling, fixed things |", f"{room_fit.NEAR_M * 100:.0f} cm"),
        ("| room-fit | half of a seat, kept clear of columns |", f"{columns.SEAT_HALF_M * 100:.0f} cm"),
        ("| statics | restoring over overturning moment |", f"1 (halt), {statics.LEAST_RATIO} (look)"),
        ("| statics | push at the load's height |", f"{statics.LEAST_PUSH_N:.0f} N"),
        ("| statics | unbalanced boom |", f"{statics.MOST_UNBALANCED_N_M:.0f} N·m"),
        (
            "| held | lower edge over the lap, of what a lap holds |",
            f"{held.ABOVE_LAP_M * 100:.0f} cm",
        ),
        ("| held | its middle from the sitter's mark on the plan |", f"{held.REACH_M * 100:.0f} cm"),
        ("| held | what lies on the floor |", f"under {held.FLAT_M * 100:.0f} cm"),
        ("| overhead | load from a head on the plan |", f"{overhead.NEAR_M * 100:.0f} cm"),
        (
            "| overhead | child: eyes |",
            f"under {overhead.CHILD_EYE_M:.2f} m seated, {overhead.CHILD_STANDING_EYE_M:.2f} m standing",
        ),
        ("| flash | bare head or dish from eyes |", f"{flash.NEAREST_M * 100:.0f} cm"),
        (
            "| into-lens | light to the lens over axial |",
            f"{into_lens.LEAST_SHARE * 100:.0f} %, to {into_lens.HOOD_DEG:.0f}° off the axis",
        ),
        (
            "| battery | what a flash takes of a full one |",
            f"1/{1 / battery.LEAST_SHARE:.0f} at least",
        ),
        (
            "| blocker-shadow | a panel's edge on the face |",
            f"{blocker_shadow.MOST_ON_FACE * 100:.0f} % of a lamp's light, "
            f"unless {blocker_shadow.WHOLE * 100:.0f} % from all of it",
        ),
        ("| sitter-shadow | darker in the picture |", f"{sitter_shadow.DEEPEST_STOPS:.0f} stop"),
        ("| brim | elevation past the brow |", f"{brim.BROW_DEG:.0f}°"),
        (
            "| brim | past the nose, past the temple |",
            f"{brim.ACROSS_NOSE_DEG:.0f}°, {brim.OUTWARD_DEG:.0f}°",
        ),
        ("| brim | share of the key in an eye |", f"{brim.HALF * 100:.0f} %"),
        ("| glare | mirrored ray from a source |", f"{glare.NEAR_DEG:.0f}°"),
        ("| evenness | between faces |", f"{evenness.FACES_STOPS * 3:.0f}/3 stop"),
        ("| evenness | face to feet |", f"{evenness.FEET_STOPS:.0f} stop"),
        ("| ambient | room light under the key |", f"{ambient.UNDER_STOPS:.0f} stops"),
        ("| near-points | meter from a panel |", f"{NEAREST_PANEL_M * 100:.0f} cm"),
    ],
)
def test_limits_are_the_constants(row: str, limit: str) -> None:
    """Each row of the table of limits states the constant."""
    assert f"{row} {limit} |" in PAGE
