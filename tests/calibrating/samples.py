"""Files of readings for the tests: a text, and what the engine would read in a studio of known truth."""

from collections.abc import Mapping
from functools import cache
from pathlib import Path

import numpy as np

from staging.books import demo
from thirdstop.book.loading import load_model
from thirdstop.book.marks import Marks
from thirdstop.book.metering import Metering
from thirdstop.book.quantities import Aperture
from thirdstop.calibrating.predicting import Predictor
from thirdstop.calibrating.quantities import Quantity, paint_groups, quantities_of
from thirdstop.calibrating.setups import StagedSetup, meter_of, stage_setups
from thirdstop.exposure.quality import ROUGH
from thirdstop.exposure.stops import f_number
from thirdstop.typed import Array

TEXT = (Path(__file__).parent / "first.yaml").read_text(encoding="utf-8")


@cache
def staged(text: str = TEXT) -> tuple[Metering, Marks, list[StagedSetup], tuple[Quantity, ...]]:
    """A file of readings in the demo studio, with the quantities that bear on it."""
    metering, marks, faults = load_model(Metering, text, "readings.yaml")
    assert metering is not None, faults
    setups, faults = stage_setups(metering, demo().studio, marks)
    assert not faults, faults
    return metering, marks, setups, quantities_of(setups, paint_groups(demo().studio))


def truth(quantities: tuple[Quantity, ...], values: Mapping[str, float]) -> Array:
    """The vector x with those values, by name, everything else as assumed."""
    assert set(values) <= {q.name for q in quantities}
    return np.array([values.get(q.name, 0.0) for q in quantities])


def read_off(text: str, x: Array, noise_stops: float = 0.0, seed: int = 0) -> Metering:
    """The file with what the engine would read in the studio of truth x, with normal noise if asked."""
    metering, _, setups, quantities = staged(text)
    stops = Predictor(setups, quantities, ROUGH).shown(x)
    stops = stops + noise_stops * np.random.default_rng(seed).standard_normal(len(stops))
    meter = meter_of(demo().studio)
    values = iter(stops)
    changed = []
    for setup, own in zip(metering.setups, setups, strict=True):
        readings = []
        for reading, taken in zip(setup.readings, own.taken, strict=True):
            constant = meter.constant_flat if taken.receptor == "flat" else meter.constant_dome
            n = f_number(2.0 ** float(next(values)), taken.iso, constant)
            readings.append(reading.model_copy(update={"reads": Aperture(n)}))
        changed.append(setup.model_copy(update={"readings": readings}))
    return metering.model_copy(update={"setups": changed})
