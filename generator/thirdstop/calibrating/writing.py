"""Puts what was found into the studio file's text: values at their places, spreads in one section."""

from collections.abc import Sequence

import numpy as np

from thirdstop.book.loading import load_model
from thirdstop.book.marks import Path
from thirdstop.book.quantities import Stops
from thirdstop.book.rewriting import holds, quoted, with_value, without
from thirdstop.book.studio import Studio
from thirdstop.calibrating.calibrate import SAYS_NOTHING, Calibration, Mean
from thirdstop.calibrating.fitting import correlations
from thirdstop.calibrating.setups import room_surface_names
from thirdstop.calibrating.values import Kept, kept
from thirdstop.errors import UsageError
from thirdstop.staging.lookup import USUAL_SURFACES
from thirdstop.staging.materials import Material, Metallised, Translucent
from thirdstop.staging.studio_check import check_studio

SECTION = "calibration"
_REMEDY = "meter again, take them out of the file, or correct what it says of the set-up"


def written(text: str, studio: Studio, calibration: Calibration, file: str) -> tuple[str, list[str]]:
    """The studio file's text with what the readings in `file` told, and what changed, in words.

    Raises UsageError where readings don't fit, where nothing was told, or where the new text would not read
    as what was meant.
    """
    _refuse_unfitting(calibration, file)
    things = kept(calibration, studio)
    plain = (calibration.camera_offset, calibration.ambient_lux)
    if not any(thing.found.told >= SAYS_NOTHING for thing in things) and plain == (None, None):
        raise UsageError(f"{file}: these readings tell nothing that the studio file could keep")
    day = calibration.metering.date.isoformat()
    changed, said = text, []
    for thing in things:
        changed = _put(changed, studio, thing, day)
        said.append(f"{thing.found.quantity.name}: {thing.value}")
    changed, more = _plain(changed, calibration.camera_offset, calibration.ambient_lux, day)
    if things:
        section = _section(calibration, things, file, day)
        changed = with_value(without(changed, SECTION), (SECTION,), section)
        changed = changed.replace(f"\n{SECTION}:", f"\n\n{SECTION}:", 1)
    _refuse_otherwise(studio, changed, things)
    return changed, said + more


def _refuse_unfitting(calibration: Calibration, file: str) -> None:
    """A studio file holds nothing that rests on readings which contradict each other or what was known."""
    names = ", ".join(f"'{row.taken.name}'" for row in calibration.unfitting)
    if names:
        number = (
            "a reading that does not fit" if len(calibration.unfitting) == 1 else "readings that do not fit"
        )
        raise UsageError(f"{file}: not written, for it would rest on {number}: {names}; {_REMEDY}")
    if calibration.contradict:
        raise UsageError(f"{file}: not written, for its readings contradict each other; {_REMEDY}")


def _put(text: str, studio: Studio, thing: Kept, day: str) -> str:
    """One value at its place, with its date where its place has one."""
    quantity, value = thing.found.quantity, thing.value
    if quantity.kind == "output":
        return _output(text, studio, thing, day)
    if quantity.kind in ("flat receptor", "dome"):
        key = "flat_constant" if quantity.kind == "flat receptor" else "dome_constant"
        return _of_meter(text, key, value)
    if quantity.kind == "half-angle":
        return with_value(text, ("shapers", _index(studio.shapers, quantity.about), "half_angle"), value)
    if quantity.kind in ("cut-off", "grid loss"):
        key = "cutoff" if quantity.kind == "cut-off" else "loss"
        return with_value(text, ("grids", _index(studio.grids, quantity.about), key), value)
    if quantity.about in room_surface_names():
        return with_value(text, ("room", "surfaces", quantity.about.replace(" ", "_")), value)
    sheets = [sheet.name for sheet in studio.backdrops]
    if quantity.about in sheets:
        at: Path = ("backdrops", sheets.index(quantity.about))
        return with_value(with_value(text, (*at, "reflectance"), value), (*at, "measured"), day)
    return _surface(text, quantity.about, quantity.kind, value, day)


def _index(pieces: Sequence[object], name: str) -> int:
    return [getattr(piece, "name", "") for piece in pieces].index(name)


def _of_meter(text: str, key: str, value: str) -> str:
    """A value of the meter, whose section may be left out."""
    if not holds(text, ("meter",)):
        return with_value(text, ("meter",), f"{{{key}: {value}}}")
    return with_value(text, ("meter", key), value)


def _output(text: str, studio: Studio, thing: Kept, day: str) -> str:
    """The lamp's calibrated guide number with that shaper, anew or for the first time."""
    lamp = next(lamp for lamp in studio.lamps if thing.found.quantity.about.startswith(f"{lamp.name} with "))
    shaper = thing.found.quantity.about.removeprefix(f"{lamp.name} with ")
    at: Path = ("lamps", _index(studio.lamps, lamp.name), "calibrated")
    spread = Stops(round(thing.found.spread_stops, 2)) if thing.found.spread_stops >= 0.005 else Stops(0.01)
    item = (
        f"{{shaper: {quoted(shaper)}, guide_number: {thing.value}, "
        f"spread: {str(spread).lstrip('+')}, measured: {day}}}"
    )
    shapers = [found.shaper for found in lamp.calibrated]
    if not shapers:
        return with_value(text, at, f"[{item}]")
    place = shapers.index(shaper) if shaper in shapers else len(shapers)
    return with_value(text, (*at, place), item)


def _surface(text: str, name: str, kind: str, value: str, day: str) -> str:
    """A card's surface in the studio's own list, which gets the usual one's other values at first."""
    studio, _, _ = load_model(Studio, text, "studio.yaml")
    assert studio is not None
    key = {"reflectance": "reflectance", "roughness": "roughness", "transmittance": "transmittance"}[kind]
    names = [surface.name for surface in studio.surfaces]
    if name in names:
        at: Path = ("surfaces", names.index(name))
        return with_value(with_value(text, (*at, key), value), (*at, "measured"), day)
    item = _surface_item(name, USUAL_SURFACES[name], day)
    listed = with_value(text, ("surfaces", len(names)), item) if names else None
    text = listed or with_value(text, ("surfaces",), f"[{item}]")
    return with_value(text, ("surfaces", len(names), key), value)


def _surface_item(name: str, material: Material, day: str) -> str:
    kind, more = "matte", ""
    if isinstance(material, Metallised):
        kind = "metallised"
        more = f", roughness: {material.roughness:g}, matte_share: {material.matte_share:g}"
        more += f", shift: +{material.shift_mired:g} mired" if material.shift_mired else ""
    elif isinstance(material, Translucent):
        kind, more = "translucent", f", transmittance: {material.transmittance:g}"
    head = f"name: {quoted(name)}, kind: {kind}, reflectance: {material.reflectance:g}"
    return f"{{{head}{more}, measured: {day}}}"


def _plain(text: str, offset: Mean | None, ambient: Mean | None, day: str) -> tuple[str, list[str]]:
    said = []
    if offset is not None:
        value = str(Stops(round(offset.value, 2)))
        text = _of_meter(_of_meter(text, "offset", value), "measured", day)
        said.append(f"camera against meter: {value}")
    if ambient is not None:
        value = f"{ambient.value:.0f} lux"
        text = with_value(text, ("room", "ambient"), value)
        said.append(f"the room's own light: {value}")
    return text, said


def _section(calibration: Calibration, things: Sequence[Kept], file: str, day: str) -> str:
    """Spreads and correlations of all that was kept, one line each."""
    order = [calibration.found.index(thing.found) for thing in things]
    together = correlations(calibration.covariance[np.ix_(order, order)])
    lines = ["", f"  measured: {day}", f"  readings: {len(calibration.used)}", f"  file: {quoted(file)}"]
    lines.append("  found:")
    for k, thing in enumerate(things):
        spread = max(0.001, round(thing.found.spread_stops, 3))
        row = [f"{round(float(together[k, m]), 2) + 0.0:g}" for m in range(k)]
        others = f", with: [{', '.join(row)}]" if row else ""
        name = quoted(thing.found.quantity.name)
        lines.append(f"    - {{of: {name}, value: {thing.value}, spread: {spread:g} stops{others}}}")
    return "\n".join(lines)


def _refuse_otherwise(studio: Studio, text: str, things: Sequence[Kept]) -> None:
    """Raises UsageError unless the text reads as the same studio with those values."""
    read, marks, faults = load_model(Studio, text, "studio.yaml")
    if read is not None:
        faults = check_studio(read, marks)
    same = read is not None and not faults and _untouched(read) == _untouched(studio)
    kept_values = [] if read is None or read.calibration is None else read.calibration.found
    if not same or [one.value for one in kept_values][: len(things)] != [thing.value for thing in things]:
        told = "; ".join(str(fault) for fault in faults) or "it would read as something else"
        raise UsageError(f"what was found can't be written into the studio file: {told}")


def _untouched(studio: Studio) -> object:
    """The studio without what a calibration may change."""
    room = studio.room.model_copy(update={"surfaces": None, "ambient": None})
    sheets = [s.model_copy(update={"reflectance": None, "measured": None}) for s in studio.backdrops]
    return studio.model_copy(
        update={
            "room": room,
            "backdrops": sheets,
            "surfaces": [],
            "lamps": [lamp.model_copy(update={"calibrated": []}) for lamp in studio.lamps],
            "shapers": [shaper.model_copy(update={"half_angle": None}) for shaper in studio.shapers],
            "grids": [g.model_copy(update={"cutoff": None, "loss": None}) for g in studio.grids],
            "meter": None,
            "calibration": None,
        }
    )
