"""How fast and how near the flash is used. No safe dose of light is computed, here or anywhere."""

from thirdstop.checks.battery import LEAST_INTERVAL_S, fastest_rhythm_s
from thirdstop.checks.findings import Check, Finding
from thirdstop.checks.polygons import distance_m, outer_outline
from thirdstop.checks.wording import clearance, floor_cm, length, minus
from thirdstop.exposure.readings import Readings
from thirdstop.staging.shapes import Beam, Emitter
from thirdstop.staging.staging import SitterPlace, Staging

NEAREST_M = 0.50
"""A bare head or dish is not fired nearer to open eyes than this (house caution, not an exposure limit)."""


def run(staging: Staging, readings: Readings) -> list[Finding]:
    """The rhythm and the question to every sitter; and each bare head or dish that is close to eyes."""
    found = [_rhythm(staging, readings)]
    for emitter in staging.scene.emitters:
        if isinstance(emitter.emission, Beam):
            found += [_bare(emitter, sitter) for sitter in staging.sitters if _shines_at(emitter, sitter)]
    return found


def nearest_eye_m(emitter: Emitter, sitter: SitterPlace) -> float:
    """Shortest distance from a luminous face to a pupil."""
    face = outer_outline(emitter.outline, emitter.centre_m, emitter.half_u_m, emitter.half_v_m)
    return min(distance_m(face, eye) for eye in sitter.eyes_m)


def _shines_at(emitter: Emitter, sitter: SitterPlace) -> bool:
    return bool(((sitter.eyes_m - emitter.centre_m) @ emitter.normal > 0).any())


def _rhythm(staging: Staging, readings: Readings) -> Finding:
    least_s = max(staging.fastest_s, LEAST_INTERVAL_S)
    rhythm_s = fastest_rhythm_s(staging, readings) or least_s
    slower = "" if rhythm_s <= least_s else ", which is what the lamps take to be ready again at these clicks"
    text = (
        f"Flash is fired no faster than one in {minus(rhythm_s, 1)} s{slower}, never in bursts; the house "
        f"cap is one in {minus(least_s, 1)} s. Before the first frame every sitter is asked about "
        "sensitivity to flashing light, migraine and seizures, and may stop at any time."
    )
    margin = rhythm_s - least_s
    return Finding("flash", "pass", "recipe", text, "", margin, least_s, "s", safety=True)


def _bare(emitter: Emitter, sitter: SitterPlace) -> Finding:
    gap_m = nearest_eye_m(emitter, sitter)
    text = (
        f"The bare head or dish '{emitter.name}' is {clearance(gap_m)} from the eyes of '{sitter.name}'; "
        f"{length(NEAREST_M)} is the least. No safe dose is computed."
    )
    margin = floor_cm(gap_m - NEAREST_M)
    if gap_m >= NEAREST_M:
        return Finding("flash", "pass", emitter.name, text, "", margin, NEAREST_M, "m", safety=True)
    remedy = "Take it farther away, put a diffuser on it, and have the sitter look away from it."
    return Finding("flash", "look", emitter.name, text, remedy, margin, NEAREST_M, "m", safety=True)


CHECK = Check(
    "flash",
    "Flash near people",
    run,
    "Never faster than one flash a second, nor than the slowest lamp is ready again at its click, no "
    "bursts, and the question about sensitivity to flashing light before the first frame: always. Most "
    "photosensitive seizures are set off by 3 to 30 flashes a second (Epilepsy Society), and web content "
    "keeps to three a second at most (WCAG 2.2, 2.3.1); the house cap is far under both, and is no promise. "
    "A bare head or dish that shines toward a sitter stays at least 50 cm from the eyes: a house caution. "
    "No exposure limit for eyes or skin is computed; ask the maker and a clinician where there is doubt.",
)
