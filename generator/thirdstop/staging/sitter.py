"""A sitter: head, hair, neck, trunk and limbs as ellipsoids, a brim as a panel, placed with the nose over M.

Head axes before turning: x camera-right, y away from the camera, z up; the face looks toward the camera.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from thirdstop.book.subject import Glasses, Subject
from thirdstop.staging.materials import Matte
from thirdstop.staging.measures import BUILDS, NOSE_BELOW_EYE_M, NOSE_PROTRUDES_M, Measures
from thirdstop.staging.shapes import BodyPart, Ellipsoid, Panel
from thirdstop.staging.staging import SitterPlace
from thirdstop.staging.vectors import UP, cross, tilt_axes, turn_axes, unit, vec
from thirdstop.typed import Array, Vec


@dataclass(frozen=True)
class Skins:
    """The matte surfaces of a sitter."""

    skin: Matte
    hair: Matte
    clothes: Matte
    hat: Matte


@dataclass(frozen=True, eq=False)
class Head:
    """The head solid and its frame."""

    centre_m: Vec
    semi_axes_m: Vec
    axes: Array
    """Columns: toward the sitter's left (camera-right when facing it), away from the face, crown."""

    def at(self, x_m: float, y_m: float, z_m: float) -> Vec:
        """A place given in the head's own axes."""
        place: Vec = self.centre_m + self.axes @ vec(x_m, y_m, z_m)
        return place

    def skin_facing(self, side_deg: float, z_m: float) -> tuple[Vec, Vec]:
        """The skin point at height z (head axes) whose horizontal normal is `side_deg` from the nose line
        (positive to the x side), and that horizontal direction.

        On an ellipse x = a² k sin, y = b² k cos has its normal along (sin, cos); k puts it on the ellipse.
        """
        a, b, c = self.semi_axes_m
        sin, cos = np.sin(np.radians(side_deg)), np.cos(np.radians(side_deg))
        k = np.sqrt((1.0 - (z_m / c) ** 2) / ((a * sin) ** 2 + (b * cos) ** 2))
        direction: Vec = self.axes @ vec(float(sin), float(-cos), 0.0)
        return self.at(float(a * a * k * sin), float(-b * b * k * cos), z_m), direction

    def skin_normal_up(self, up_deg: float) -> tuple[Vec, Vec]:
        """The skin point in the middle of the face whose normal rises `up_deg`, and that normal."""
        _, b, c = self.semi_axes_m
        sin, cos = np.sin(np.radians(up_deg)), np.cos(np.radians(up_deg))
        k = 1.0 / np.sqrt((b * cos) ** 2 + (c * sin) ** 2)
        direction: Vec = self.axes @ vec(0.0, float(-cos), float(sin))
        return self.at(0.0, float(-b * b * k * cos), float(c * c * k * sin)), direction

    def front_at(self, z_m: float, x_m: float = 0.0) -> float:
        """Depth in front of the head's middle of the skin at (x, z), metres."""
        a, b, c = self.semi_axes_m
        return float(b * np.sqrt(max(0.0, 1.0 - (z_m / c) ** 2 - (x_m / a) ** 2)))


def head_of(subject: Subject, measures: Measures, nose_floor_m: Vec) -> Head:
    """The head with its nose tip plumb over `nose_floor_m` and its eyes at the recipe's height."""
    half_height_m = (measures.vertex_to_eye_m + measures.face_m - 0.005) / 2
    # menton lies face − 5 mm under the pupils (sellion is about 5 mm above them); crown vertex_to_eye above
    eye_above_middle_m = half_height_m - measures.vertex_to_eye_m
    semi_axes = vec(measures.head_breadth_m / 2, measures.head_length_m / 2, half_height_m)
    axes = turn_axes(subject.head.deg) @ tilt_axes(subject.chin.deg)
    head = Head(vec(0.0, 0.0, 0.0), semi_axes, axes)
    eyes_up_m = float((axes @ vec(0.0, -head.front_at(eye_above_middle_m), eye_above_middle_m))[2])
    nose = _nose(head, eye_above_middle_m)
    centre = vec(
        float(nose_floor_m[0] - nose[0]), float(nose_floor_m[1] - nose[1]), subject.eye_height.m - eyes_up_m
    )
    return Head(centre, semi_axes, axes)


def _nose(head: Head, eye_above_middle_m: float) -> Vec:
    z_m = eye_above_middle_m - NOSE_BELOW_EYE_M
    return head.at(0.0, -(head.front_at(z_m) + NOSE_PROTRUDES_M), z_m)


@dataclass(frozen=True, eq=False)
class Sitter:
    """One sitter, resolved."""

    place: SitterPlace
    head: Head
    solids: tuple[Ellipsoid, ...]
    panels: tuple[Panel, ...]
    chest_m: Vec
    chest_direction: Vec
    hands_m: Vec
    feet_m: Vec


def place_sitter(
    index: int, subject: Subject, skins: Skins, camera_m: Vec, mark_m: Vec, prefix: str
) -> Sitter:
    """One sitter with the nose over `mark_m`; names of solids start with `prefix`."""
    return _placed(index, subject, skins, tuple(camera_m.tolist()), tuple(mark_m.tolist()), prefix)


@lru_cache(maxsize=64)
def _placed(
    index: int,
    subject: Subject,
    skins: Skins,
    camera_at: tuple[float, ...],
    mark_at: tuple[float, ...],
    prefix: str,
) -> Sitter:
    """The same sitter is asked for again and again while lamps and cards are tried."""
    camera_m, mark_m = np.array(camera_at), np.array(mark_at)
    measures = BUILDS[subject.build]
    head = head_of(subject, measures, mark_m)
    eye_z_m = head.semi_axes_m[2] - measures.vertex_to_eye_m
    half_pupils_m = measures.pupils_m / 2
    pupil_y_m = -head.front_at(eye_z_m, half_pupils_m)
    # the sitter's right is camera-left, so -x in head axes
    eyes = np.array([head.at(-half_pupils_m, pupil_y_m, eye_z_m), head.at(half_pupils_m, pupil_y_m, eye_z_m)])
    trunk = _Trunk(subject, measures, head)
    solids = [*_head_solids(index, subject, head, skins, prefix), *trunk.solids(index, skins, prefix)]
    panels: list[Panel] = []
    if subject.wears.hat is not None:
        brim, crown = _hat(index, subject, head, skins, prefix, eye_z_m)
        panels.append(brim)
        solids.append(crown)
    between_eyes = eyes.mean(axis=0)
    gaze = unit(camera_m - between_eyes)
    if subject.gaze is not None:
        gaze = turn_axes(subject.gaze.deg) @ vec(0.0, -1.0, 0.0)
    glasses = subject.wears.glasses or Glasses()
    top_m = max(float(s.centre_m[2] + s.semi_axes_m[2]) for s in solids)
    place = SitterPlace(
        index=index,
        name=subject.name,
        pose=subject.pose,
        eye_height_m=subject.eye_height.m,
        nose_m=_nose(head, float(eye_z_m)),
        forward=head.axes @ vec(0.0, -1.0, 0.0),
        sitter_right=head.axes @ vec(-1.0, 0.0, 0.0),
        up=head.axes @ UP,
        gaze=gaze,
        eyes_m=eyes,
        head_centre_m=head.centre_m,
        crown_m=vec(float(head.centre_m[0]), float(head.centre_m[1]), top_m),
        body_turn_deg=subject.body.deg,
        head_turn_deg=subject.head.deg,
        chin_deg=subject.chin.deg,
        seat_height_m=trunk.seat_m if subject.pose == "seated" else None,
        hat=_hat_words(subject),
        glasses="glasses" if subject.wears.glasses is not None else None,
        mark_m=mark_m,
        glasses_tilt_deg=glasses.tilt.deg,
        glasses_base_dioptre=glasses.curve.per_m,
    )
    return Sitter(
        place, head, tuple(solids), tuple(panels), trunk.chest_m, trunk.forward, trunk.hands_m, trunk.feet_m
    )


def _hat_words(subject: Subject) -> str | None:
    hat = subject.wears.hat
    if hat is None:
        return None
    return (
        f"brim {hat.brim.front} in front, {hat.brim.side} at the sides, {hat.brim.above_eye} above the eyes"
    )


def _head_solids(index: int, subject: Subject, head: Head, skins: Skins, prefix: str) -> list[Ellipsoid]:
    a, b, c = head.semi_axes_m
    solids = [
        Ellipsoid(prefix + "head", "head", index, head.centre_m, head.semi_axes_m, head.axes, skins.skin)
    ]
    if skins.hair.reflectance > 0:
        # hair: the head, 6 % larger, moved back and up so that the face stays bare
        grown = head.semi_axes_m * 1.06
        solids.append(
            Ellipsoid(
                prefix + "hair", "hair", index, head.at(0.0, 0.022, 0.014), grown, head.axes, skins.hair
            )
        )
        if subject.wears.hair_length == "long":
            middle = head.at(0.0, float(b) * 0.62, -float(c) * 1.0)
            size = vec(float(a) * 0.95, 0.045, 0.14)
            solids.append(Ellipsoid(prefix + "long hair", "hair", index, middle, size, head.axes, skins.hair))
    return solids


def _hat(
    index: int, subject: Subject, head: Head, skins: Skins, prefix: str, eye_z_m: float
) -> tuple[Panel, Ellipsoid]:
    hat = subject.wears.hat
    assert hat is not None
    a, b, c = head.semi_axes_m
    z_m = float(eye_z_m) + hat.brim.above_eye.m
    front_m = head.front_at(z_m) + hat.brim.front.m
    back_m = head.front_at(z_m) + hat.brim.side.m
    half_across_m = float(a * np.sqrt(max(0.0, 1.0 - (z_m / c) ** 2))) + hat.brim.side.m
    brim = Panel(
        name=prefix + "brim",
        role="brim",
        centre_m=head.at(0.0, (back_m - front_m) / 2, z_m),
        half_u_m=head.axes @ vec(half_across_m, 0.0, 0.0),
        half_v_m=head.axes @ vec(0.0, (front_m + back_m) / 2, 0.0),
        front=skins.hat,
        back=skins.hat,
        outline="ellipse",
    )
    # the crown stands on the brim: its solid reaches just below it, clear of the face
    crown_size = vec(float(a) + 0.008, float(b) + 0.008, 0.55 * hat.crown.m)
    crown = Ellipsoid(
        prefix + "crown",
        "crown",
        index,
        head.at(0.0, 0.0, z_m + 0.5 * hat.crown.m),
        crown_size,
        head.axes,
        skins.hat,
    )
    return brim, crown


def limb(
    name: str, part: BodyPart, sitter: int, ends_m: tuple[Vec, Vec], radius_m: float, skin: Matte
) -> Ellipsoid:
    """An ellipsoid along a limb from joint to joint, a little longer than the limb so that joints meet."""
    start, end = ends_m
    along = unit(end - start)
    helper = UP if abs(along[2]) < 0.9 else vec(1.0, 0.0, 0.0)
    side = unit(cross(helper, along))
    axes = np.stack([side, cross(along, side), along], axis=1)
    half_m = float(np.linalg.norm(end - start)) / 2 + 0.5 * radius_m
    return Ellipsoid(name, part, sitter, (start + end) / 2, vec(radius_m, radius_m, half_m), axes, skin)


class _Trunk:
    """Neck, shoulders, trunk and limbs, hung under the head and turned with the body."""

    def __init__(self, subject: Subject, measures: Measures, head: Head) -> None:
        self.subject, self.measures = subject, measures
        self.turn = turn_axes(subject.body.deg)
        self.forward = self.turn @ vec(0.0, -1.0, 0.0)
        self.seated = subject.pose == "seated"
        eye_m = subject.eye_height.m
        usual_seat_m = max(0.12, eye_m - measures.eye_sitting_m)
        self.seat_m = subject.seat_height.m if subject.seat_height is not None else usual_seat_m
        usual_m = measures.eye_sitting_m if self.seated else measures.eye_standing_m
        self.scale = (eye_m - (self.seat_m if self.seated else 0.0)) / usual_m
        """How tall this sitter's body is against the mean build."""
        self.shoulder_z_m = eye_m - measures.acromion_below_eye_m * self.scale
        self.hip_z_m = self.seat_m + 0.09 if self.seated else 0.53 * measures.stature_m * self.scale
        # the spine stands a little behind the middle of the head
        self.spine_m = head.centre_m + self.turn @ vec(0.0, 0.025, 0.0)
        self.head = head

    def at(self, x_m: float, y_m: float, z_m: float) -> Vec:
        """A place in the body's axes about the spine, z over the floor."""
        place: Vec = self.turn @ vec(x_m, y_m, 0.0)
        return vec(float(self.spine_m[0] + place[0]), float(self.spine_m[1] + place[1]), z_m)

    @property
    def chest_m(self) -> Vec:
        return self.at(0.0, -self.measures.chest_depth_m / 2, self.shoulder_z_m - 0.13 * self.scale)

    @property
    def hands_m(self) -> Vec:
        hands = self.subject.hands
        if hands is not None:
            return self.at(0.0, -(self.measures.chest_depth_m / 2 + hands.forward.m), hands.height.m)
        if self.seated:
            return self.at(0.0, -0.34 * self.scale, self.seat_m + 0.17 * self.scale)
        return self.at(0.0, -0.17 * self.scale, self.hip_z_m - 0.02)

    @property
    def feet_m(self) -> Vec:
        reach_m = 0.50 * self.scale if self.seated else 0.10
        return self.at(0.0, -reach_m, 0.05)

    def solids(self, index: int, skins: Skins, prefix: str) -> list[Ellipsoid]:
        """Every solid below the head."""
        cloth, skin, m, r = skins.clothes, skins.skin, self.measures, self.measures.limb
        straight = self.turn
        neck_top = self.head.at(0.0, 0.015, -float(self.head.semi_axes_m[2]) * 0.75)
        neck_foot = self.at(0.0, 0.015, self.shoulder_z_m - 0.01)
        half_trunk_m = (self.shoulder_z_m - self.hip_z_m) / 2
        trunk_middle = self.at(0.0, 0.0, self.hip_z_m + half_trunk_m)
        out = [
            limb(prefix + "neck", "neck", index, (neck_top, neck_foot), 0.054 * (0.5 + 0.5 * r), skin),
            Ellipsoid(
                prefix + "shoulders",
                "shoulders",
                index,
                self.at(0.0, 0.015, self.shoulder_z_m - 0.045),
                vec(m.shoulders_m / 2, 0.085 * (0.4 + 0.6 * r), 0.075 * (0.4 + 0.6 * r)),
                straight,
                cloth,
            ),
            Ellipsoid(
                prefix + "torso",
                "torso",
                index,
                trunk_middle,
                vec(m.hips_m * 0.44, m.chest_depth_m / 2, half_trunk_m * 1.12),
                straight,
                cloth,
            ),
            Ellipsoid(
                prefix + "pelvis",
                "pelvis",
                index,
                self.at(0.0, 0.02, self.hip_z_m),
                vec(m.hips_m / 2, 0.12 * (0.3 + 0.7 * r), 0.11),
                straight,
                cloth,
            ),
        ]
        for side, word in ((-1.0, "right"), (1.0, "left")):
            out += self._arm(index, side, prefix + word + " ", skins)
            out += self._leg(index, side, prefix + word + " ", skins)
        return out + self._held(index, prefix)

    def _arm(self, index: int, side: float, prefix: str, skins: Skins) -> list[Ellipsoid]:
        r, half_m = self.measures.limb, self.measures.shoulders_m / 2
        shoulder = self.at(side * (half_m - 0.05 * r), 0.015, self.shoulder_z_m - 0.04)
        elbow = self.at(side * (half_m - 0.01), -0.03, self.shoulder_z_m - 0.31 * self.scale)
        palm = self.hands_m + self.turn @ vec(side * 0.055, 0.0, 0.0)
        hand_axes = self.turn
        return [
            limb(prefix + "upper arm", "upper arm", index, (shoulder, elbow), 0.047 * r, skins.clothes),
            limb(prefix + "forearm", "forearm", index, (elbow, palm), 0.037 * r, skins.clothes),
            Ellipsoid(
                prefix + "hand", "hand", index, palm, vec(0.043, 0.05, 0.03) * r, hand_axes, skins.skin
            ),
        ]

    def _leg(self, index: int, side: float, prefix: str, skins: Skins) -> list[Ellipsoid]:
        r, cloth = self.measures.limb, skins.clothes
        hip = self.at(side * 0.09 * r, 0.0, self.hip_z_m - 0.01)
        if self.seated:
            knee = self.at(side * 0.12 * r, -0.42 * self.scale, max(0.1, self.seat_m + 0.07))
            ankle = self.at(side * 0.12 * r, -0.44 * self.scale, 0.05)
        else:
            knee = self.at(side * 0.10 * r, 0.0, 0.27 * self.measures.stature_m * self.scale)
            ankle = self.at(side * 0.10 * r, 0.01, 0.05)
        return [
            limb(prefix + "thigh", "thigh", index, (hip, knee), 0.078 * r, cloth),
            limb(prefix + "lower leg", "lower leg", index, (knee, ankle), 0.052 * r, cloth),
        ]

    def _held(self, index: int, prefix: str) -> list[Ellipsoid]:
        hands = self.subject.hands
        if hands is None or hands.holds is None:
            return []
        half_m = hands.object_size.m / 2
        # the thing held stands above the palms, so that it hides neither hand from the front
        place = self.hands_m + vec(0.0, 0.0, half_m + 0.02)
        return [
            Ellipsoid(
                prefix + "object", "object", index, place, vec(half_m, half_m, half_m), self.turn, Matte(0.2)
            )
        ]
