"""What each panel keeps off the face, the shoulders and the backdrop of a lamp's light, and how softly."""

from dataclasses import dataclass

import numpy as np

from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.shadows import kept_by_panel, seen_background_m, sent, softness_m
from thirdstop.checks.wording import length, minus, percent
from thirdstop.exposure.readings import Readings
from thirdstop.staging.shapes import Emitter, Panel
from thirdstop.staging.staging import SitterPlace, Staging
from thirdstop.typed import Array

MOST_ON_FACE = 0.10
"""House limit: a panel that only grazes the face takes no more than this of a lamp's light, 0.15 stop."""
WHOLE = 0.90
"""From here on a panel is meant to keep the lamp off."""
_NOTHING = 0.01
_FACE_M = ((0.0, 0.0), (-0.05, -0.01), (0.05, -0.01), (0.0, 0.09), (0.0, -0.06), (-0.03, 0.03), (0.03, 0.03))
"""Places of the face from the nose tip, across and up the head: nose, cheeks, forehead, chin, eyes."""


@dataclass(frozen=True)
class Kept:
    """What one panel keeps of one lamp's light off each part, as shares: least and most over its places."""

    panel: str
    lamp: str
    face: tuple[float, float]
    shoulders: tuple[float, float]
    backdrop: tuple[float, float]
    soft_m: float
    """Width of the shadow's soft rim on the face."""
    straight: float
    """What a net lets through."""

    @property
    def most(self) -> float:
        """The greatest share of a lamp's light that it keeps off face, shoulders or backdrop."""
        return max(self.face[1], self.shoulders[1], self.backdrop[1])


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """One finding for each panel and lamp whose light it keeps off something; one pass where none does."""
    panels = [panel for panel in staging.scene.panels if panel.role in ("card", "blocker", "net")]
    if not panels or not staging.sitters:
        return []
    background = seen_background_m(staging)
    pairs = [(panel, lamp) for panel in panels for lamp in staging.scene.emitters]
    found = [kept(staging, panel, lamp, background) for panel, lamp in pairs]
    said = [_said(one) for one in found if one.most > _NOTHING]
    if said:
        return said
    text = "No card or blocker stands between a lamp and face, shoulders or backdrop: 0 % is kept off."
    return [Finding("blocker-shadow", "pass", "recipe", text, "", MOST_ON_FACE, MOST_ON_FACE, "share")]


def kept(staging: Staging, panel: Panel, lamp: Emitter, background_m: Array) -> Kept:
    """What a panel keeps of a lamp's light off all faces, all shoulders and these places of the backdrop."""
    faces = np.concatenate([face_places_m(sitter) for sitter in staging.sitters])
    return Kept(
        panel.name,
        lamp.name,
        _range(panel, lamp, faces),
        _range(panel, lamp, shoulder_places_m(staging)),
        _range(panel, lamp, background_m),
        softness_m(lamp, panel.centre_m, staging.sitters[0].nose_m),
        panel.straight,
    )


def face_places_m(sitter: SitterPlace) -> Array:
    """Nose, cheeks, forehead, chin and eyes, in the plane of the nose tip, shape (7, 3)."""
    return np.array([sitter.nose_m + across * sitter.sitter_right + up * sitter.up for across, up in _FACE_M])


def shoulder_places_m(staging: Staging) -> Array:
    """Both ends of every sitter's shoulders, shape (2 × sitters, 3); none where no body is staged."""
    ends = []
    for solid in staging.scene.solids:
        if solid.part == "shoulders":
            longest = int(np.argmax(solid.semi_axes_m))
            along = 0.8 * solid.semi_axes_m[longest] * solid.axes[:, longest]
            ends += [solid.centre_m + along, solid.centre_m - along]
    return np.array(ends).reshape(-1, 3)


def _range(panel: Panel, lamp: Emitter, places_m: Array) -> tuple[float, float]:
    """Least and most over those places that the bare lamp would reach; 0, 0 where it reaches none."""
    if len(places_m) == 0:
        return 0.0, 0.0
    reached = places_m[sent(lamp, places_m)[0].sum(axis=1) > 0]
    if len(reached) == 0:
        return 0.0, 0.0
    shares = kept_by_panel(panel, lamp, reached)
    return float(shares.min()), float(shares.max())


def _said(one: Kept) -> Finding:
    about = f"{one.panel}: {one.lamp}"
    text = (
        f"'{one.panel}' keeps {_percents(one.face)} of the light of '{one.lamp}' off the face, "
        f"{_percents(one.shoulders)} off the shoulders and {_percents(one.backdrop)} off the backdrop in the "
        f"picture; its shadow's rim is {length(one.soft_m)} soft on the face."
    )
    if one.straight > 0:
        text += f" It is a net that lets {percent(one.straight)} through; there is no limit to meet."
        return Finding("blocker-shadow", "pass", about, text)
    if one.face[0] >= WHOLE:
        text += f" From {percent(WHOLE)} on it is taken as meant to keep the lamp off the face."
        return Finding("blocker-shadow", "pass", about, text)
    text += f" At most {percent(MOST_ON_FACE)} should go from any place of the face."
    margin = MOST_ON_FACE - one.face[1]
    if margin >= 0:
        return Finding("blocker-shadow", "pass", about, text, "", margin, MOST_ON_FACE, "share")
    remedy = (
        f"Its edge falls on the face. Slide '{one.panel}' off the line from lamp to face until nothing of it "
        "is seen before the lamp from the nose; or across it wholly, if it is meant to shade the face."
    )
    return Finding("blocker-shadow", "look", about, text, remedy, margin, MOST_ON_FACE, "share")


def _percents(shares: tuple[float, float]) -> str:
    low, high = (round(100 * share) for share in shares)
    return f"{minus(low)} %" if low == high else f"{minus(low)} to {minus(high)} %"


CHECK = Check(
    "blocker-shadow",
    "Shadows of panels",
    run,
    "For each card and blocker and each lamp: what share of the lamp's face the panel hides from seven "
    "places of every face (nose, cheeks, forehead, chin, eyes), from both ends of the shoulders and from "
    "the backdrop as the picture shows it, weighted by what each of 89 places on the face sends. A panel "
    "whose edge takes more than 10 % from some place of the face and doesn't keep the lamp off all of it is "
    "worth a look: house limits. The soft rim is the lamp's extent times the distance from panel to nose "
    "over that from lamp to panel, by similar triangles. A net is only told. What light the panel returns "
    "is in the readings, not here.",
)
