"""What a body can't do: eyes nowhere near those of its build, a head turned past its shoulders."""

import numpy as np

from thirdstop.book.subject import Subject
from thirdstop.staging.measures import BUILDS, Measures
from thirdstop.staging.problems import Path, Problems

SMALLEST, LARGEST = 0.6, 1.35
"""Of a body against its build's mean; past these it would be another build. House limits."""
LOWEST_SEAT_M = 0.12
HEAD_AGAINST_CHEST_DEG = 90.0
"""About the most that a neck turns, to either side (a usual range of motion, from memory)."""
EYES_AGAINST_HEAD_DEG = 60.0
"""House limit; eyes turn comfortably by half of it."""
REACH_OF_STATURE = 0.5
"""The longest reach of hands from the shoulders against stature: span of the arms is about stature."""


def usual_seat_m(eye_height_m: float, measures: Measures) -> float:
    """The seat on which a sitter of that build has the eyes at that height."""
    return max(LOWEST_SEAT_M, eye_height_m - measures.eye_sitting_m)


def seat_m(subject: Subject, measures: Measures) -> float:
    """Height of the seat, as stated or as usual."""
    if subject.seat_height is not None:
        return subject.seat_height.m
    return usual_seat_m(subject.eye_height.m, measures)


def scale_of(subject: Subject, measures: Measures) -> float:
    """How tall this sitter's body is against the mean of the build."""
    if subject.pose == "seated":
        return (subject.eye_height.m - seat_m(subject, measures)) / measures.eye_sitting_m
    return subject.eye_height.m / measures.eye_standing_m


def refuse_posture(subject: Subject, problems: Problems, path: Path) -> None:
    """Notes what no body of this build does."""
    measures = BUILDS[subject.build]
    _size(subject, measures, problems, path)
    _turned(
        "the head", subject.head.deg - subject.body.deg, HEAD_AGAINST_CHEST_DEG, "the chest", problems,
        (*path, "head"),
    )  # fmt: skip
    if subject.gaze is not None:
        off_deg = subject.gaze.deg - subject.head.deg
        _turned("the gaze", off_deg, EYES_AGAINST_HEAD_DEG, "the nose", problems, (*path, "gaze"))
    if subject.seat_height is not None and subject.pose == "standing":
        problems.add(
            (*path, "seat_height"), "who stands has no seat", str(subject.seat_height), "pose: seated"
        )
    _hands(subject, measures, problems, path)


def _size(subject: Subject, measures: Measures, problems: Problems, path: Path) -> None:
    scale = scale_of(subject, measures)
    if SMALLEST <= scale <= LARGEST:
        return
    seated = subject.pose == "seated"
    base_m, usual_m = (seat_m(subject, measures), measures.eye_sitting_m) if seated else (
        0.0, measures.eye_standing_m
    )  # fmt: skip
    low, high = np.ceil(SMALLEST * usual_m * 100) / 100, np.floor(LARGEST * usual_m * 100) / 100
    over = f"the seat at {base_m:.2f} m" if seated else "the floor"
    key, write_m = "eye_height", base_m + usual_m
    if subject.seat_height is not None and seated:
        key, write_m = "seat_height", max(LOWEST_SEAT_M, subject.eye_height.m - usual_m)
    problems.add(
        (*path, key),
        f"the eyes of a {subject.pose} {subject.build} are {low:.2f} to {high:.2f} m over {over}",
        f"{subject.eye_height.m - base_m:.2f} m over it",
        f"{key}: {write_m:.2f} m",
    )


def _turned(what: str, off_deg: float, most_deg: float, against: str, problems: Problems, path: Path) -> None:
    turned_deg = abs((off_deg + 180.0) % 360.0 - 180.0)
    if turned_deg > most_deg + 1e-9:
        problems.add(
            path,
            f"{what} would be turned {turned_deg:.0f}° against {against}; {most_deg:.0f}° is the most",
            "",
            f"a turn within {most_deg:.0f} deg of {against}'s",
        )


def _hands(subject: Subject, measures: Measures, problems: Problems, path: Path) -> None:
    if subject.hands is None:
        return
    scale = scale_of(subject, measures)
    shoulder_m = subject.eye_height.m - measures.acromion_below_eye_m * scale
    forward_m = measures.chest_depth_m / 2 + subject.hands.forward.m
    reach_m = float(np.hypot(forward_m, shoulder_m - subject.hands.height.m))
    most_m = REACH_OF_STATURE * measures.stature_m * scale
    if reach_m > most_m:
        problems.add(
            (*path, "hands"),
            f"the hands would be {reach_m:.2f} m from the shoulders; "
            f"these arms reach {np.floor(most_m * 100) / 100:.2f} m",
            "",
            f"a height nearer to the shoulders, which are {shoulder_m:.2f} m high",
        )
