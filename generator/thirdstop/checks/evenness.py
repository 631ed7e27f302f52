"""Whether two faces, or head and feet, get the same light."""

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.places import points
from thirdstop.checks.wording import stops
from thirdstop.exposure.readings import Readings
from thirdstop.staging.staging import SitterPlace, Staging

FACES_STOPS = 1 / 3
"""Faces of one picture stay within a click (house limit, common practice)."""
FEET_STOPS = 1.0
"""Feet of a full length may be this much darker than the face (house limit)."""
_FACE_POINTS = ("chin dome", "forehead", "under chin")


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """Faces against each other where there are several; feet against the face in a standing full length."""
    found = []
    if len(staging.sitters) > 1 and (faces := _faces(staging, readings)) is not None:
        found.append(faces)
    if staging.framing == "full length":
        found += [_feet(staging, readings, sitter) for sitter in staging.sitters if sitter.pose == "standing"]
    return found


def _reading_of(staging: Staging, readings: Readings, words: str, sitter: SitterPlace) -> float | None:
    """Stops from the key reading at a sitter's point with these words in its name; None if not measured."""
    for point in points(staging, words, sitter.index):
        if point.name in readings.readings:
            return readings[point.name].stops_from_key
    return None


def _faces(staging: Staging, readings: Readings) -> Finding | None:
    """All faces by the first kind of point that every one of them has."""
    for words in _FACE_POINTS:
        values = [_reading_of(staging, readings, words, sitter) for sitter in staging.sitters]
        known = [value for value in values if value is not None]
        if len(known) == len(values):
            return _spread(staging, words, known)
    return None


def _spread(staging: Staging, words: str, values: list[float]) -> Finding:
    bright, dark = max(values), min(values)
    least = staging.sitters[values.index(dark)].name
    most = staging.sitters[values.index(bright)].name
    margin = FACES_STOPS - (bright - dark)
    text = (
        f"Between the faces ({words}) lies {stops(bright - dark)}: '{most}' is the brightest, '{least}' the "
        "darkest; 1/3 stop is the limit."
    )
    if margin >= -1e-9:
        return Finding("evenness", "pass", "faces", text, "", margin, FACES_STOPS, "stops")
    remedy = (
        f"Aim the key at '{least}', so that its edge lights '{most}'; take it farther away; or bring the "
        f"card toward '{least}'."
    )
    return Finding("evenness", "look", "faces", text, remedy, margin, FACES_STOPS, "stops")


def _feet(staging: Staging, readings: Readings, sitter: SitterPlace) -> Finding:
    feet = _reading_of(staging, readings, "feet", sitter)
    face = next(
        (
            value
            for words in ("forehead", "chin dome")
            if (value := _reading_of(staging, readings, words, sitter)) is not None
        ),
        None,
    )
    if feet is None or face is None:
        text = (
            f"The feet of '{sitter.name}' are in the picture and not measured, so {stops(FEET_STOPS)} of "
            "falloff can't be told."
        )
        remedy = "Add 'feet' to what the recipe measures."
        return Finding("evenness", "look", sitter.name, text, remedy, None, FEET_STOPS, "stops")
    margin = FEET_STOPS - (face - feet)
    text = f"From face to feet '{sitter.name}' loses {stops(face - feet)}; {stops(FEET_STOPS)} is the limit."
    if margin >= -1e-9:
        return Finding("evenness", "pass", sitter.name, text, "", margin, FEET_STOPS, "stops")
    remedy = (
        "Aim the key lower, at the chest or hips; take it farther away; net its upper third; or lay a card "
        "on the floor before the feet."
    )
    return Finding("evenness", "look", sitter.name, text, remedy, margin, FEET_STOPS, "stops")


CHECK = Check(
    "evenness",
    "Even over the picture",
    run,
    "With several sitters the same measuring point of every face is compared: 1/3 stop is the limit. In a "
    "standing full length the feet may be 1 stop darker than the face. Both are house limits: a gradient may "
    "be what is wanted.",
)
