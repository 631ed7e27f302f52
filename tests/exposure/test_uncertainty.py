"""Bands, and the scenes that they are made of."""

import math

import numpy as np
import pytest

from exposure.sets import WHITE, lamp, panel, scene, vec
from exposure.stagings import lamp_place, staging
from thirdstop.exposure import perturbed
from thirdstop.exposure.charging import charge
from thirdstop.exposure.meter import read
from thirdstop.exposure.predict import predict, variations, varied_scenes
from thirdstop.exposure.quality import SCAN
from thirdstop.exposure.transport import solve
from thirdstop.exposure.uncertainty import Tolerances, Variation, bands
from thirdstop.staging.materials import Matte, Translucent
from thirdstop.staging.shapes import Panel
from thirdstop.staging.staging import Scene

EXACT = Tolerances(meter_stops=0.0, computation_stops=0.0)


def card() -> Panel:
    """A white card beside the face."""
    return panel("fill", vec(-0.6, -0.2, 1.2), vec(1, 0.3, 0), 0.9, 1.2, WHITE, Matte(0.04))


def test_causes_add_in_quadrature() -> None:
    """Independent causes of 0.3 and 0.4 make 0.5; those of one name count as one cause."""
    found = bands(
        0,
        2,
        [
            Variation("place of key", np.array([0.3, 0.0]), 0.1),
            Variation("aim of key", np.array([0.0, 0.4]), 0.2),
            Variation("place of key", np.array([0.4, 0.4]), 0.2),
        ],
        0.0,
        EXACT,
    )

    assert found.reading_stops == pytest.approx([0.5, math.sqrt(0.32)])
    assert found.from_key_stops == pytest.approx([0.0, math.sqrt(0.3**2 + 0.4**2)])
    assert found.ratio_stops == pytest.approx(0.3)
    assert found.key_causes[0][0] == "place of key"
    assert found.key_causes[0][1] == pytest.approx(0.5)
    assert [name for name, _ in found.ratio_causes] == ["place of key", "aim of key"]
    assert [size for _, size in found.ratio_causes] == pytest.approx([math.sqrt(0.05), 0.2])


def test_common_causes_cancel() -> None:
    """What moves all readings alike is in no difference."""
    found = bands(1, 3, [Variation("output", np.full(3, 1.0), 0.0)], 0.0, EXACT)

    assert found.reading_stops == pytest.approx([1, 1, 1])
    assert found.from_key_stops == pytest.approx([0, 0, 0])
    assert found.ratio_stops == 0


def test_meter() -> None:
    """Calibration is in every reading and in no ratio; the step is in both, twice in a ratio."""
    found = bands(0, 1, [], 0.1, Tolerances(meter_stops=0.1, computation_stops=0.03))
    single = (0.45 * 0.1) ** 2 + 0.03**2

    assert found.reading_stops[0] == pytest.approx(math.sqrt(0.01 + single))
    assert found.ratio_stops == pytest.approx(math.sqrt(2 * single))


def test_moved() -> None:
    """Only what bears the name moves."""
    here = scene([card()])
    there = perturbed.moved(here, "fill", vec(0.1, 0, 0))

    assert there.panels[6].centre_m == pytest.approx(here.panels[6].centre_m + vec(0.1, 0, 0))
    assert there.panels[:6] == here.panels[:6]
    assert perturbed.moved(here, "key", vec(0, 0, 1)).emitters[0].centre_m[2] == pytest.approx(2.7)


def test_turned() -> None:
    """A face turns about its middle and keeps its size; about a vertical axis x goes to y."""
    here = Scene((), (), (lamp(centre=vec(1, 2, 3), normal=vec(1, 0, 0)),), ())
    there = perturbed.turned(here, "key", vec(0, 0, 1), 90.0).emitters[0]

    assert there.normal == pytest.approx([0, 1, 0], abs=1e-12)
    assert there.centre_m == pytest.approx([1, 2, 3])
    with pytest.raises(KeyError, match="the scene has no face 'nobody'"):
        perturbed.turned(here, "nobody", vec(0, 0, 1), 5.0)


def test_sitter_takes_along_points_and_brim() -> None:
    """A sitter moves with points and brim; the room stays."""
    brim = panel("brim", vec(0, 0.1, 1.3), vec(0, 0, 1), 0.3, 0.3, WHITE, role="brim")
    here = scene([brim])
    there = perturbed.sitter_moved(here, 0, vec(0, 0.03, 0))

    for before, after in zip(here.solids, there.solids, strict=True):
        assert after.centre_m - before.centre_m == pytest.approx([0, 0.03, 0])
    assert there.panels[6].centre_m - brim.centre_m == pytest.approx([0, 0.03, 0])
    assert there.points[0].place_m - here.points[0].place_m == pytest.approx([0, 0.03, 0])
    assert there.panels[0] is here.panels[0]


def test_scaled_materials() -> None:
    """Reflectance is scaled and kept below 1; a sheet passes less where it returns more."""
    assert perturbed.scaled(Matte(0.5), 1.2) == Matte(0.6)
    assert perturbed.scaled(Matte(0.9), 1.2) == Matte(0.98)
    sheet = perturbed.scaled(Translucent(0.5, 0.3), 1.1)
    assert isinstance(sheet, Translucent)
    assert (sheet.reflectance, sheet.transmittance) == pytest.approx((0.33, 0.47))


def test_every_tolerance_has_its_scene() -> None:
    """Lamp and card are moved along three axes and turned about two; surfaces and sitter vary too."""
    causes = [cause for cause, _ in varied_scenes(scene([card()]))]

    assert causes.count("place of key") == causes.count("place of fill") == 3
    assert causes.count("aim of key") == causes.count("aim of fill") == 2
    assert causes.count("where the sitter sits") == 2
    assert causes[-5:] == [
        "reflectance of the walls",
        "reflectance of the ceiling",
        "reflectance of the floor",
        "reflectance of fill",
        "reflectance of skin and clothes",
    ]


def test_card_that_comes_nearer_fills_more() -> None:
    """Moved 5 cm toward the face, the card lights the shadow cheek more and so lowers the ratio."""
    here = charge(staging(scene([card()]), [lamp_place("key", 20)]))
    nearer = next(v for v in variations(here) if v.cause == "place of fill")

    assert nearer.reading_stops[1] > 0.02
    assert nearer.ratio_stops < -0.02


def test_predicted_bands() -> None:
    """A prediction carries wider bands than the lamp and the meter alone, and names two causes."""
    here = staging(scene([card()]), [lamp_place("key", 20)])
    wide = predict(here, SCAN)
    narrow = read(charge(here), solve(charge(here).scene, SCAN))

    assert wide["left cheek"].f_number == pytest.approx(narrow["left cheek"].f_number)
    assert wide.ratio.band_stops > narrow.ratio.band_stops > 0
    assert wide.ratio.low < wide.ratio.ratio < wide.ratio.high
    assert len(wide.ratio.causes) == 2
    assert wide.key_causes[0][0] == "output of key"
