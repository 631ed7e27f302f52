"""The camera's place and its field, by the thin lens focused on the nose."""

import numpy as np

from thirdstop.book.recipe import Camera
from thirdstop.book.studio import Studio
from thirdstop.staging.lookup import find
from thirdstop.staging.problems import Problems
from thirdstop.staging.staging import CameraView
from thirdstop.staging.vectors import CAMERA_RIGHT, cross, vec


def camera_of(camera: Camera, studio: Studio, nose_height_m: float, problems: Problems) -> CameraView:
    """The camera toward the front wall, `distance` from the nose, `across` from the line through M.

    Focal plane to nose D = u + v with 1/f = 1/u + 1/v gives v = (D − √(D² − 4 f D))/2 (thin lens, both
    principal planes taken as one).
    """
    model = find(studio.cameras, camera.body, "camera", problems, ("camera", "body"))
    long_m, short_m = (0.036, 0.024)
    if model is not None:
        long_m, short_m = (f(model.sensor.first_m, model.sensor.second_m) for f in (max, min))
    across_m, upright_m = (short_m, long_m) if camera.hold == "upright" else (long_m, short_m)
    focal_m, distance_m = camera.lens.mm / 1000, camera.distance.m
    rise_m = camera.height.m - nose_height_m
    aside_m = float(np.hypot(rise_m, camera.across.m))
    if distance_m <= max(aside_m, 4.01 * focal_m):
        problems.add(
            ("camera", "distance"),
            f"the camera can't stand {distance_m:.2f} m from a nose that is {aside_m:.2f} m off its axis, "
            "with this lens",
            str(camera.distance),
            "a greater distance",
        )
        distance_m = max(aside_m, 4.01 * focal_m) * 1.5
    run_m = float(np.sqrt(distance_m**2 - aside_m**2))
    image_m = (distance_m - float(np.sqrt(distance_m**2 - 4 * focal_m * distance_m))) / 2
    # looking away from the camera: forward is +y, tilted up it gains z
    forward = vec(0.0, float(np.cos(np.radians(camera.tilt.deg))), float(np.sin(np.radians(camera.tilt.deg))))
    return CameraView(
        focal_plane_m=vec(camera.across.m, -run_m, camera.height.m),
        forward=forward,
        right=CAMERA_RIGHT,
        up=cross(CAMERA_RIGHT, forward),
        focal_length_m=focal_m,
        sensor_across_m=across_m,
        sensor_upright_m=upright_m,
        tan_half_across=across_m / 2 / image_m,
        tan_half_upright=upright_m / 2 / image_m,
        distance_m=camera.distance.m,
        image_distance_m=image_m,
    )
