"""What an elevation says where the camera is drawn over the column of a stand that it is not on."""

from dataclasses import replace

from staging.books import staged
from thirdstop.drawings.elevation import camera_says, elevation
from thirdstop.drawings.geometry import UPRIGHT, View
from thirdstop.staging.staging import Staging
from thirdstop.staging.vectors import unit, vec


def _along_key(staging: Staging) -> View:
    key = next(item for item in staging.items if item.kind == "lamp")
    return View(-unit(vec(key.side_m, -key.toward_m, 0.0)), UPRIGHT, 50)


def test_the_camera_before_the_keys_stand_is_told_apart() -> None:
    """In this recipe's elevation along the key's bearing both stand at one place of the sheet."""
    staging = staged("stationmaster")
    view = _along_key(staging)
    key, camera = (next(one for one in staging.items if one.kind == kind) for kind in ("lamp", "camera"))
    assert key.support is not None
    nearer = float((camera.centre_m - key.support.base_m) @ view.toward) > 0
    way = "nearer" if nearer else "farther off"
    words = f"{camera.number} is {way} than the stand of {key.number}, not on it"
    assert camera_says(staging, view) == words
    assert words in elevation(staging).svg


def test_nothing_is_said_of_columns_beside_or_of_its_own() -> None:
    """Half a metre beside on the sheet, or in one place with it, a column needs no word."""
    staging = staged("stationmaster")
    view = _along_key(staging)
    key = next(one for one in staging.items if one.kind == "lamp")
    camera = next(one for one in staging.items if one.kind == "camera")
    assert key.support is not None
    for shift in (0.5 * view.right, camera.centre_m * vec(1, 1, 0) - key.support.base_m):
        support = replace(
            key.support, base_m=key.support.base_m + shift, column_top_m=key.support.column_top_m + shift
        )
        items = [replace(one, support=support) if one is key else one for one in staging.items]
        assert camera_says(replace(staging, items=tuple(items)), view) == ""
