"""How finely a scene is computed."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Quality:
    """Sizes of patches and elements, and how many samples. Lengths in metres."""

    room_patch_m: float = 0.4
    """Largest patch of the room's surfaces; patches exchange light."""
    panel_patch_m: float = 0.3
    """Largest patch of every other panel."""
    patch_point_share: float = 0.5
    """A patch is no larger than this share of its distance to the nearest measuring point that sees it."""
    patch_lamp_share: float = 0.35
    """The same, to the nearest lamp that lights it."""
    smallest_patch_m: float = 0.1
    room_element_m: float = 0.4
    """Largest element of the room's surfaces; points look at elements, which lamps light."""
    panel_element_m: float = 0.15
    smallest_element_m: float = 0.1
    point_share: float = 1.0
    """An element is no larger than this share of its distance to the nearest measuring point."""
    body_share: float = 3.0
    """The same, to the nearest body."""
    lamp_share: float = 0.35
    """The same, to the nearest lamp that lights it."""
    round_bodies: bool = True
    """Whether a solid has at least 24 patches, rather than the six of a cube."""
    body_patch_m: float = 0.3
    """Largest patch of a body, as the root of its area."""
    body_point_share: float = 1.0
    """A body's patch is no larger than this share of its distance to the nearest point that sees it."""
    smallest_body_patch_m: float = 0.05
    lamp_samples: int = 55
    """Places on a lamp's face that light patches of bodies, a half of them, and cells, a third."""
    partly: int = 4
    """How many times the samples an element gets from which part of a lamp's face is hidden."""
    lamp_samples_points: int = 610
    """Places on a lamp's face that light measuring points."""
    body_samples: int = 800
    """Directions over the whole sphere that a measuring point would send at bodies."""
    hit_lamp_samples: int = 13
    """Places on a lamp's face that light what those directions meet."""
    lobe_cells: int = 280
    """Cells of a metallised side for lamp → card → point."""
    lobe_lamp_samples: int = 55
    lobe_patch_cells: int = 36
    """Cells of a metallised side for lamp → card → patch."""
    lobe_patch_samples: int = 8
    lobe_room_cells: int = 24
    """Cells of a metallised side for the room's light in it."""


ANSWER = Quality()
"""For what is printed."""

SCAN = Quality(
    room_patch_m=0.6,
    room_element_m=0.45,
    patch_point_share=1.5,
    smallest_patch_m=0.2,
    panel_element_m=0.3,
    round_bodies=False,
    lamp_share=0.6,
    partly=1,
    lamp_samples_points=377,
    body_samples=600,
    lobe_cells=140,
    lobe_lamp_samples=13,
)
"""For trying many positions."""

ROUGH = Quality(
    room_patch_m=0.6,
    patch_point_share=2.0,
    smallest_patch_m=0.3,
    room_element_m=0.6,
    panel_element_m=0.2,
    smallest_element_m=0.12,
    round_bodies=False,
    body_patch_m=0.4,
    body_point_share=2.0,
    lamp_share=0.6,
    lamp_samples=30,
    partly=1,
    lamp_samples_points=377,
    body_samples=300,
    hit_lamp_samples=8,
    lobe_cells=70,
    lobe_lamp_samples=13,
    lobe_patch_cells=16,
    lobe_room_cells=12,
)
"""For small differences between scenes, as bands need them: within 0.03 stop of the finest."""
