"""Some forty stagings that differ widely, each to be compared with the reference."""

from collections.abc import Callable
from itertools import pairwise

from reference.builder import (
    BLACK,
    CAMERA,
    DIFFUSER,
    GOLD,
    GREY,
    SILVER,
    SOFT_SILVER,
    UP,
    WHITE,
    Set,
    unit,
    vec,
)
from thirdstop.staging.materials import Matte, Metallised, Translucent
from thirdstop.staging.shapes import Beam, Gridded
from thirdstop.staging.staging import Scene

FACE = vec(0, 0, 1.2)
KEY_AT = vec(0.85, -0.75, 1.7)


def _key(on: Set) -> Set:
    """A soft box high at camera-right, aimed at the face."""
    return on.lamp(KEY_AT, FACE, 0.9, outline="octagon")


def bare_room() -> Set:
    """One soft box in a room of middling tones."""
    return _key(Set().sitter())


def near_wall() -> Set:
    """Half a metre from a white wall on the shadow side."""
    return _key(Set(left_m=0.5, walls=0.8).sitter())


def white_room() -> Set:
    """Everything white: eighteen bounces matter."""
    return _key(Set(walls=0.9, floor=0.8, ceiling=0.9).sitter(clothes=0.7).backdrop(1.3, 0.85))


def black_room() -> Set:
    """Everything black."""
    return _key(Set(walls=0.04, floor=0.04, ceiling=0.04).sitter().backdrop(1.3, 0.05))


def white_card() -> Set:
    """A white card at the shadow side of a dark room."""
    dark = Set(walls=0.08, floor=0.1, ceiling=0.08).sitter().backdrop(1.4, 0.18)
    return _key(dark).panel("card", vec(-0.55, -0.1, 1.15), FACE, 0.8, 1.2, WHITE, BLACK)


def card_very_near() -> Set:
    """A white card a hand's breadth from the cheek."""
    return _key(Set().sitter()).panel("card", vec(-0.21, -0.05, 1.26), vec(0.5, -0.05, 1.26), 0.5, 0.4, WHITE)


def flag_penumbra() -> Set:
    """A flag between lamp and face; its soft edge runs over the face."""
    on = _key(Set(walls=0.3).sitter().backdrop(1.3, 0.5))
    return on.panel("flag", vec(0.52, -0.33, 1.62), KEY_AT, 0.6, 0.3, BLACK, role="blocker")


def silver_in_mirror_direction() -> Set:
    """A silver card that throws the lamp at the face."""
    on = _key(Set(walls=0.2).sitter().backdrop(1.4, 0.3))
    return on.panel("card", vec(-0.65, -0.35, 1.15), vec(0.0, -0.45, 1.38), 0.8, 1.0, SILVER, BLACK)


def silver_out_of_it() -> Set:
    """The same card turned away from the mirror direction."""
    on = _key(Set(walls=0.2).sitter().backdrop(1.4, 0.3))
    return on.panel("card", vec(-0.65, -0.35, 1.15), vec(0.2, 0.5, 1.0), 0.8, 1.0, SILVER, BLACK)


def silver_lap_card() -> Set:
    """Silver under a face, clamshell with a lamp above the camera."""
    on = Set(walls=0.3).sitter().backdrop(1.4, 0.3)
    on.lamp(vec(0, -0.7, 1.85), FACE, 0.9, 0.6)
    return on.panel("lap card", vec(0, -0.42, 0.82), vec(0, -0.25, 1.3), 0.9, 0.5, SILVER)


def gold_lap_card() -> Set:
    """Gold under a face, lamp to the side."""
    on = _key(Set().sitter())
    return on.panel("lap card", vec(0.1, -0.45, 0.8), vec(0, -0.1, 1.3), 0.6, 0.5, GOLD, WHITE)


def translucent_panel() -> Set:
    """A dish through a diffusing panel 60 cm square."""
    on = Set(walls=0.4).sitter().backdrop(1.4, 0.3)
    on.lamp(vec(1.0, -0.9, 1.75), vec(0.5, -0.42, 1.48), 0.2, outline="ellipse", emission=Beam(40))
    return on.panel("diffuser", vec(0.55, -0.45, 1.5), FACE, 0.6, 0.6, DIFFUSER)


def narrow_beam_on_diffuser() -> Set:
    """A narrow beam 24 cm behind a diffusing panel: peaked light on a surface near the face."""
    on = Set(walls=0.2, floor=0.1).sitter().backdrop(1.2, 0.3)
    on.lamp(vec(0.78, -0.62, 1.62), FACE, 0.18, outline="ellipse", emission=Beam(15))
    return on.panel("diffuser", vec(0.60, -0.48, 1.52), FACE, 1.0, 1.0, DIFFUSER)


def gridded_strip() -> Set:
    """Key and a gridded strip from behind."""
    on = _key(Set(walls=0.3).sitter().backdrop(1.5, 0.2))
    return on.lamp(
        vec(-1.0, 0.9, 1.5), vec(0, 0.05, 1.2), 0.3, 1.2, emission=Gridded(40), luminance=3000, power=0.5
    )


def dish_at_white_wall() -> Set:
    """A bare dish turned at a white wall: all light is bounced."""
    on = Set(walls=(0.5, 0.85, 0.5, 0.85), ceiling=0.8).sitter().backdrop(1.3, 0.4)
    return on.lamp(vec(0.6, -1.5, 1.6), vec(1.4, -2.4, 1.7), 0.18, outline="ellipse", emission=Beam(35))


def backdrop_light() -> Set:
    """Key and a lamp on the backdrop."""
    on = _key(Set(length_m=5.0, behind_m=2.2).sitter().backdrop(1.9, 0.6, 2.4))
    return on.lamp(
        vec(0.9, 1.0, 0.5), vec(0, 1.9, 1.3), 0.16, outline="ellipse", emission=Beam(30), luminance=4000
    )


def brim() -> Set:
    """A wide brim over the eyes, silver below."""
    on = Set(walls=0.25).sitter().backdrop(1.4, 0.2)
    on.lamp(vec(0.4, -0.8, 1.85), FACE, 0.8)
    on.panel(
        "brim", vec(0, 0.09, 1.268), vec(0, 0.09, 2), 0.30, 0.40, Matte(0.1), role="brim", outline="ellipse"
    )
    return on.panel("lap card", vec(0, -0.5, 0.8), vec(0, -0.1, 1.25), 0.8, 0.5, SILVER)


def two_people() -> Set:
    """Two sitters side by side, a big lamp and a white card."""
    on = Set(width_m=3.6).sitter(-0.33, 0.1, 1.2, body_deg=20).sitter(0.33, 0.25, 1.3, body_deg=-20)
    on.lamp(vec(1.1, -1.3, 1.8), vec(0, 0, 1.2), 1.2, outline="octagon")
    return on.panel("card", vec(-1.05, -0.35, 1.2), vec(0, 0, 1.2), 1.0, 1.5, WHITE).backdrop(1.3, 0.5, 2.6)


def full_length() -> Set:
    """Somebody standing in a tall strip's light."""
    on = Set(height_m=2.7, length_m=5.0).sitter(eye_m=1.62, standing=True).backdrop(1.3, 0.5, 2.5, 2.5)
    on.lamp(vec(1.1, -1.3, 1.4), vec(0, 0, 1.2), 0.4, 1.6)
    on.point("shins", vec(0.1, -0.14, 0.35), CAMERA).point("feet", vec(0.0, -0.3, 0.12), UP)
    return on.panel("card", vec(-0.8, -0.1, 1.0), vec(0, 0, 1.0), 1.0, 1.9, WHITE)


def net_before_face() -> Set:
    """A net takes a stop off the lower half."""
    on = _key(Set().sitter().backdrop(1.3, 0.4))
    return on.panel("net", vec(0.5, -0.4, 1.38), FACE, 0.6, 0.45, Matte(0.12), role="net", straight=0.5)


def sweep() -> Set:
    """White paper in a curve of flat strips, down the wall and over the floor."""
    on = _key(Set(length_m=5.0, behind_m=1.8).sitter(y_m=0.0))
    paper, rows = Matte(0.85), [(1.5, 2.2), (1.5, 0.6), (1.4, 0.25), (1.2, 0.08), (0.9, 0.012), (-0.6, 0.012)]
    for k, ((y1, z1), (y2, z2)) in enumerate(pairwise(rows)):
        at = vec(0, (y1 + y2) / 2, (z1 + z2) / 2)
        look = at + vec(0, z2 - z1, y1 - y2)
        size = float(((y1 - y2) ** 2 + (z1 - z2) ** 2) ** 0.5)
        on.panel(f"sweep {k}", at, look, 2.4, size, paper, role="backdrop")
    return on.point("sweep behind head", vec(0, 1.45, 1.2), CAMERA)


def octagon_close() -> Set:
    """A big octagon half a metre from the face."""
    on = Set(walls=0.5).sitter().backdrop(1.2, 0.3)
    return on.lamp(vec(0.42, -0.5, 1.45), FACE, 1.2, outline="octagon")


def ceiling_bounce() -> Set:
    """A bare head at a white ceiling."""
    on = Set(ceiling=0.85).sitter().backdrop(1.3, 0.5)
    return on.lamp(vec(0.5, -1.2, 1.4), vec(0.3, -0.9, 2.4), 0.12, outline="ellipse", emission=Beam(60))


def black_sides() -> Set:
    """Black panels on both sides: negative fill in a light room."""
    on = Set(walls=0.75).sitter().backdrop(1.3, 0.3).lamp(vec(0, -1.2, 1.6), FACE, 0.6)
    for side in (-1, 1):
        at = vec(0.42 * side, 0.05, 1.2)
        on.panel(f"black {side}", at, vec(0, 0.05, 1.2), 0.7, 1.2, BLACK, role="blocker")
    return on


def rim_into_silver() -> Set:
    """The only lamp is behind and throws into a silver card in front."""
    on = Set(walls=0.15).sitter().backdrop(1.5, 0.2)
    on.lamp(vec(-0.9, 0.8, 1.7), vec(0.2, -0.6, 1.25), 0.4, emission=Gridded(50), luminance=3000)
    return on.panel("card", vec(0.55, -0.75, 1.2), vec(-0.08, -0.12, 1.34), 0.8, 1.0, SOFT_SILVER)


def small_lamp_close() -> Set:
    """A small dish 55 cm away."""
    on = Set(walls=0.5).sitter().backdrop(1.0, 0.4)
    return on.lamp(vec(0.35, -0.42, 1.4), FACE, 0.18, outline="ellipse", emission=Beam(35))


def silver_in_white_room() -> Set:
    """Silver that mirrors white walls."""
    on = _key(Set(walls=0.85, ceiling=0.85, floor=0.5).sitter(clothes=0.6))
    return on.panel("card", vec(-0.6, -0.3, 1.15), vec(0.1, -0.2, 1.3), 0.8, 1.0, SILVER)


def silver_facing_lamp() -> Set:
    """Silver square to the lamp behind the sitter's shoulder."""
    on = _key(Set(walls=0.2).sitter())
    return on.panel("card", vec(-0.75, 0.35, 1.35), KEY_AT, 0.7, 1.0, SILVER)


def two_silvers() -> Set:
    """Two silver cards that face each other past the sitter."""
    on = Set(walls=0.2).sitter().lamp(vec(0, -1.1, 1.8), FACE, 0.7)
    on.panel("card left", vec(-0.5, -0.15, 1.15), vec(0, -0.3, 1.2), 0.6, 1.0, SILVER)
    return on.panel("card right", vec(0.5, -0.15, 1.15), vec(0, -0.3, 1.2), 0.6, 1.0, SILVER)


def smooth_silver() -> Set:
    """Silver of roughness 0.15 in the mirror direction."""
    on = _key(Set(walls=0.2).sitter())
    smooth = Metallised(0.88, 0.15, 0.05)
    return on.panel("card", vec(-0.65, -0.35, 1.15), vec(0.0, -0.45, 1.38), 0.8, 1.0, smooth)


def white_closet() -> Set:
    """A small white room, low ceiling, big lamp."""
    on = Set(2.0, 2.8, 2.1, behind_m=0.9, walls=0.88, floor=0.6, ceiling=0.88).sitter(clothes=0.5)
    return on.lamp(vec(0.6, -0.8, 1.6), FACE, 0.6)


def flag_at_lamp() -> Set:
    """A flag parallel to the lamp's edge, 15 cm before it."""
    on = Set(walls=0.4).sitter().backdrop(1.3, 0.5).lamp(vec(0.9, -0.5, 1.5), FACE, 0.6, 0.9)
    n, across = unit(FACE - on.emitters[0].centre_m), unit(on.emitters[0].half_u_m)
    at = on.emitters[0].centre_m + 0.15 * n + 0.3 * across
    return on.panel("flag", at, at - n, 0.3, 1.0, BLACK, role="blocker")


def feathered() -> Set:
    """The lamp looks past the face toward a card."""
    on = Set(walls=0.3).sitter().backdrop(1.3, 0.3)
    on.lamp(vec(0.8, -0.5, 1.5), vec(-0.2, -0.9, 1.2), 0.6, 0.9)
    return on.panel("card", vec(-0.6, -0.6, 1.2), vec(0, -0.1, 1.2), 0.9, 1.2, WHITE)


def lamp_behind() -> Set:
    """The lamp stands behind the sitter; the face gets only what comes back."""
    on = Set(walls=0.7, behind_m=1.9).sitter()
    return on.lamp(vec(-0.5, 1.3, 1.6), vec(0, 0, 1.3), 0.6, 0.9)


def desk() -> Set:
    """A light desk before the chest."""
    on = _key(Set().sitter()).backdrop(1.3, 0.4)
    return on.panel("desk", vec(0, -0.75, 0.74), vec(0, -0.75, 2), 1.2, 0.6, Matte(0.7), role="fixed")


def profile() -> Set:
    """Head in profile, split light, black card behind the head."""
    on = Set(walls=0.3).sitter(head_deg=80, body_deg=50).backdrop(1.4, 0.2)
    on.lamp(vec(1.2, -0.2, 1.5), FACE, 0.3, 1.2, emission=Gridded(45))
    return on.panel("black", vec(-0.5, 0.1, 1.2), vec(0, 0.1, 1.2), 0.6, 1.0, BLACK, role="blocker")


def half_white_room() -> Set:
    """One wall white, the other nearly black."""
    return _key(Set(walls=(0.5, 0.3, 0.9, 0.03), ceiling=0.5).sitter().backdrop(1.3, 0.18))


def v_of_whites() -> Set:
    """Two white panels set in a V with a lamp into them."""
    on = Set(walls=0.1, ceiling=0.3).sitter().backdrop(1.4, 0.2)
    on.panel("wing left", vec(-1.05, -0.55, 1.2), vec(-0.5, -0.55, 1.2), 1.0, 1.9, WHITE)
    on.panel("wing front", vec(-0.53, -1.1, 1.2), vec(-0.53, 0, 1.2), 0.98, 1.9, WHITE)
    return on.lamp(vec(-0.5, -0.55, 1.75), vec(-0.9, -0.95, 1.5), 0.2, outline="ellipse", emission=Beam(45))


def three_lamps() -> Set:
    """Key, fill from beside the camera, a gridded hair light from above."""
    on = _key(Set(length_m=5.0).sitter()).backdrop(1.4, 0.3)
    on.lamp(vec(-0.5, -2.2, 1.7), FACE, 1.0, outline="ellipse", power=0.25)
    return on.lamp(vec(-0.4, 0.9, 2.1), vec(0, 0.1, 1.25), 0.3, emission=Gridded(30), power=0.7)


def clamshell() -> Set:
    """White card tight under the face, lamp tight above."""
    on = Set(walls=0.4).sitter().backdrop(1.3, 0.5).lamp(vec(0, -0.55, 1.65), FACE, 0.7, 0.5)
    return on.panel("lap card", vec(0, -0.38, 0.92), vec(0, -0.3, 1.3), 0.7, 0.4, WHITE)


def big_diffuser() -> Set:
    """A sheet 1.8 m square lit from behind by a bare head."""
    on = Set(3.6, 5.0, walls=0.5).sitter().backdrop(1.3, 0.4)
    on.lamp(vec(1.5, -0.9, 1.4), FACE, 0.15, outline="ellipse", emission=Beam(60), luminance=8000)
    sheet = Translucent(0.6, 0.3)
    return on.panel("diffuser", vec(0.9, -0.5, 1.1), vec(0, 0, 1.1), 1.8, 1.8, sheet)


def window() -> Set:
    """A window the size of half a wall, no lamp."""
    on = Set(walls=0.6).sitter(body_deg=30, head_deg=15).backdrop(1.3, 0.3)
    on.lamp(vec(1.48, -0.5, 1.4), vec(0, -0.5, 1.4), 1.6, 1.4, luminance=100)
    return on.panel("card", vec(-0.7, -0.3, 1.2), vec(0, -0.1, 1.2), 0.8, 1.2, SOFT_SILVER, BLACK)


def two_standing() -> Set:
    """Two people standing on white paper, two lamps."""
    on = Set(3.6, 5.0, 2.6, floor=0.8).sitter(-0.3, 0.2, 1.55, True).sitter(0.35, 0.1, 1.7, True, -25, -15)
    on.lamp(vec(-1.3, -1.4, 1.7), vec(0, 0, 1.2), 0.9, outline="octagon")
    return on.lamp(vec(1.4, -1.2, 1.6), vec(0, 0, 1.2), 0.5, 1.2, power=0.3).backdrop(1.3, 0.8, 3.0)


def crowded() -> Set:
    """Two sitters, three lamps, cards, a flag, a net and a brim at once."""
    on = Set(3.4, 5.0, walls=0.5).sitter(-0.32, 0.15, 1.2, body_deg=25).sitter(0.35, 0.2, 1.32, head_deg=-20)
    on.lamp(vec(1.2, -1.1, 1.8), vec(0, 0, 1.2), 0.9, outline="octagon")
    on.lamp(vec(-1.2, 1.0, 1.7), vec(-0.3, 0.1, 1.2), 0.3, 0.9, emission=Gridded(40), power=0.5)
    on.lamp(vec(0.7, 1.0, 0.4), vec(0.2, 1.45, 1.2), 0.18, outline="ellipse", emission=Beam(35), power=0.4)
    on.panel("card", vec(-1.0, -0.4, 1.2), vec(-0.2, 0, 1.2), 0.9, 1.2, SILVER, BLACK)
    on.panel("lap card", vec(0.0, -0.75, 0.8), vec(0, -0.1, 1.3), 1.0, 0.5, WHITE)
    on.panel("flag", vec(0.75, -0.6, 1.75), vec(1.2, -1.1, 1.8), 0.5, 0.3, BLACK, role="blocker")
    on.panel("net", vec(0.62, -0.62, 1.3), vec(0, 0, 1.2), 0.4, 0.35, Matte(0.1), role="net", straight=0.7)
    on.panel(
        "brim", vec(0.35, 0.18, 1.40), vec(0.35, 0.18, 2), 0.3, 0.36, GREY, role="brim", outline="ellipse"
    )
    return on.backdrop(1.5, 0.4, 2.6)


def corner_of_room() -> Set:
    """In a corner, lamp along the wall."""
    on = Set(left_m=0.55, behind_m=0.6, walls=0.7).sitter(body_deg=30, head_deg=20)
    return on.lamp(vec(1.4, -0.4, 1.6), FACE, 0.4, 1.0)


def high_contrast_cards() -> Set:
    """A white and a black card back to back, a third white behind the sitter."""
    on = _key(Set(walls=0.2).sitter()).backdrop(1.5, 0.1)
    on.panel("card", vec(-0.5, -0.2, 1.2), FACE, 0.6, 1.0, WHITE, BLACK)
    return on.panel("behind", vec(-0.3, 0.7, 1.2), vec(0.2, 0, 1.2), 0.7, 1.2, WHITE, BLACK)


HAND: tuple[Callable[[], Set], ...] = (
    bare_room,
    near_wall,
    white_room,
    black_room,
    white_card,
    card_very_near,
    flag_penumbra,
    silver_in_mirror_direction,
    silver_out_of_it,
    silver_lap_card,
    gold_lap_card,
    translucent_panel,
    narrow_beam_on_diffuser,
    gridded_strip,
    dish_at_white_wall,
    backdrop_light,
    brim,
    two_people,
    full_length,
    net_before_face,
    sweep,
    octagon_close,
    ceiling_bounce,
    black_sides,
    rim_into_silver,
    small_lamp_close,
    silver_in_white_room,
    silver_facing_lamp,
    two_silvers,
    smooth_silver,
    white_closet,
    flag_at_lamp,
    feathered,
    lamp_behind,
    desk,
    profile,
    half_white_room,
    v_of_whites,
    three_lamps,
    clamshell,
    big_diffuser,
    window,
    two_standing,
    crowded,
    corner_of_room,
    high_contrast_cards,
)


def hand_scenes() -> dict[str, Scene]:
    """Every hand-made scene by its name."""
    return {make.__name__.replace("_", " "): make().scene() for make in HAND}
