"""Small scenes whose light is known without any renderer: view factors, quadratures, furnaces.

They are written as the scene's JSON, so that nothing but the path tracer is tried by them.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeAlias

import numpy as np

from reference.mitsuba_scene import Array, Json

X, Y, Z = np.eye(3)
LAMBERTIAN = {"kind": "lambertian"}
BLACK = {"kind": "matte", "reflectance": 0.0}
LAMP_AT = np.array([0.6, 0.2, 0.7])
"""Where the small lamp stands that lights a sheet at the origin."""

Brdf: TypeAlias = Callable[[Array, Array], Array]
"""Of unit directions to where light comes from and goes to, shape (n, 3) each, in 1/sr."""


@dataclass(frozen=True)
class ClosedForm:
    """A scene and the luminous exposure that its points must get, lx·s."""

    name: str
    scene: Json
    wanted_lx_s: tuple[float, ...]
    source: str


def matte(reflectance: float) -> Json:
    """A matte material."""
    return {"kind": "matte", "reflectance": reflectance}


def face(name: str, centre: Array, u: Array, v: Array, outline: str = "rectangle") -> dict[str, Any]:
    """What panels and emitters share."""
    normal = np.cross(u, v)
    return {
        "name": name,
        "outline": outline,
        "centre": list(centre),
        "half_u": list(u),
        "half_v": list(v),
        "normal": list(normal / np.linalg.norm(normal)),
    }


def panel(
    name: str, centre: Array, u: Array, v: Array, material: Json, straight: float = 0.0
) -> dict[str, Any]:
    """A rectangle of one material on both sides."""
    return face(name, centre, u, v) | {"front": material, "back": material, "straight": straight}


def lamp(
    centre: Array,
    u: Array,
    v: Array,
    outline: str = "ellipse",
    emission: Json = LAMBERTIAN,
    luminance: float = 1.0,
) -> dict[str, Any]:
    """A luminous face at full power."""
    rest = {"emission": emission, "luminance_cd_s_m2": luminance, "power": 1.0}
    return face("lamp", centre, u, v, outline) | rest


def solid(centre: Array, semi_axes: list[float], material: Json) -> dict[str, Any]:
    """An ellipsoid along the house axes."""
    return {
        "name": "solid",
        "centre": list(centre),
        "semi_axes": semi_axes,
        "axes": np.eye(3).tolist(),
        "material": material,
    }


def point(place: Array, direction: Array, receptor: str = "flat") -> dict[str, Any]:
    """A measuring point; `direction` need not be a unit vector."""
    unit = direction / np.linalg.norm(direction)
    return {"name": "point", "place": list(place), "direction": list(unit), "receptor": receptor}


def scene(emitters: list[Any], points: list[Any], panels: Any = (), solids: Any = ()) -> Json:
    """A scene without a room, but for a black speck far below (a scene has at least one panel)."""
    speck = panel("speck", np.array([0, 0, -100.0]), 0.01 * X, 0.01 * Y, BLACK)
    return {"panels": [speck, *panels], "solids": list(solids), "emitters": emitters, "points": points}


def _down(radius: float, height: float, outline: str = "ellipse") -> dict[str, Any]:
    """A face that shines down from above the origin."""
    return lamp(height * Z, radius * X, -radius * Y, outline)


def discs() -> ClosedForm:
    """A disc of diameter 1 m at 1 m: on axis, off axis and tilted."""
    tilt = np.radians(75)
    points = [point(0 * Z, Z), point(0.5 * X, Z), point(0 * Z, np.sin(tilt) * X + np.cos(tilt) * Z)]
    wanted = (np.pi * 0.2, np.pi * 0.146446609, np.pi * 0.054608114)
    source = "Howell, A Catalog of Radiation Heat Transfer Configuration Factors, B-12, B-13"
    return ClosedForm("disc on axis, off axis, tilted 75°", scene([_down(0.5, 1.0)], points), wanted, source)


def squares() -> ClosedForm:
    """A square of side 1 m, parallel at 1 m and at 0.5 m."""
    points = [point(0 * Z, Z), point(0.5 * Z, Z)]
    wanted = (np.pi * 0.239456470, np.pi * 0.554126424)
    source = "Howell, B-3, four times"
    return ClosedForm(
        "square at d = 1 and 0.5", scene([_down(0.5, 1.0, "rectangle")], points), wanted, source
    )


def octagon() -> ClosedForm:
    """A regular octagon, 1 m flat to flat, at 1 m: Lambert's contour formula over its eight edges."""
    t = np.sqrt(2.0) - 1.0
    corners = 0.5 * np.array([(1, t), (t, 1), (-t, 1), (-1, t), (-1, -t), (-t, -1), (t, -1), (1, -t)])
    rays = np.hstack([corners, np.ones((8, 1))])
    rays /= np.linalg.norm(rays, axis=1, keepdims=True)
    across = np.cross(rays, np.roll(rays, -1, axis=0))
    sines = np.linalg.norm(across, axis=1)
    wanted = 0.5 * float(np.sum(np.arcsin(sines) * across[:, 2] / sines))
    source = "Lambert's contour formula"
    return ClosedForm(
        "octagon at d = 1", scene([_down(0.5, 1.0, "octagon")], [point(0 * Z, Z)]), (wanted,), source
    )


def dome() -> ClosedForm:
    """A small distant lamp at angles from a dome's axis: the cardioid (1 + cos θ)/2."""
    angles = np.radians([0.0, 60.0, 90.0, 150.0])
    radius, height = 0.01, 2.0
    points = [point(0 * Z, np.sin(a) * X + np.cos(a) * Z, "dome") for a in angles]
    normal = np.pi * radius**2 / height**2
    wanted = tuple(float(normal * (1 + np.cos(a)) / 2) for a in angles)
    source = "projected area of a hemisphere, πR²(1 + cos θ)/2"
    return ClosedForm("dome at 0, 60, 90, 150°", scene([_down(radius, height)], points), wanted, source)


def flag() -> ClosedForm:
    """An opaque half-plane that hides what lies beyond x = 0.2 of a unit square at 2 m."""
    edge = panel("flag", np.array([50.1, 0, 1.0]), 50 * X, 50 * Y, BLACK)
    wanted = np.pi * 0.051927314
    source = "Howell, B-3, two pairs of rectangles"
    return ClosedForm(
        "half-plane before a square",
        scene([_down(0.5, 2.0, "rectangle")], [point(0 * Z, Z)], [edge]),
        (wanted,),
        source,
    )


def eclipse() -> ClosedForm:
    """A disc behind a black spheroid on its axis: the tangent cone has tan² = a²/(d² − c²)."""
    radius, height, a, c, d = 1.0, 2.0, 0.2, 0.1, 0.8
    hidden_tan2 = a**2 / (d**2 - c**2)
    disc_sin2 = radius**2 / (radius**2 + height**2)
    wanted = np.pi * (disc_sin2 - hidden_tan2 / (1 + hidden_tan2))
    solids = [solid(d * Z, [a, a, c], BLACK)]
    return ClosedForm(
        "disc behind a flat spheroid",
        scene([_down(radius, height)], [point(0 * Z, Z)], solids=solids),
        (wanted,),
        "tangent cone of a spheroid; Howell, B-12",
    )


def _relative_luminance(emission: Json) -> Callable[[Array], Array]:
    if emission["kind"] == "beam":
        power = np.log(0.5) / np.log(np.cos(np.radians(emission["half_angle_deg"]))) - 1
        return lambda cosine: np.asarray(cosine**power)
    if emission["kind"] == "gridded":
        cutoff = np.tan(np.radians(emission["cutoff_deg"]))
        return lambda cosine: np.maximum(1 - np.sqrt(1 / cosine**2 - 1) / cutoff, 0)
    return np.ones_like


def sheet_light(emission: Json, from_m: Array, to_m: Array, to_normal: Array, brdf: Brdf) -> float:
    """Light at a receptor from a sheet 1 m square at the origin facing +z, or from its far side.

    A lamp of 1 cd·s/m² and 1 cm² at `from_m` points to its middle. Midpoint quadrature, 1000 × 1000.
    """
    grid = (np.arange(1000) + 0.5) / 1000 - 0.5
    spots = np.stack([*np.meshgrid(grid, grid), np.zeros((1000, 1000))], axis=-1).reshape(-1, 3)
    inward = spots - from_m
    r1 = np.linalg.norm(inward, axis=1)
    aim = -from_m / np.linalg.norm(from_m)
    leaves = inward @ aim / r1
    lit = _relative_luminance(emission)(leaves) * 1e-4 * leaves * np.abs(inward[:, 2]) / r1**3
    outward = spots - to_m
    r2 = np.linalg.norm(outward, axis=1)
    cosines = np.abs(outward[:, 2]) * np.maximum(outward @ to_normal, 0) / r2**2
    scattered = brdf(-inward / r1[:, None], -outward / r2[:, None])
    return float(np.mean(lit * scattered * cosines / r2**2))


def diffuser(share: float) -> Brdf:
    """Lambert's, of that reflectance or transmittance."""
    return lambda arriving, leaving: np.full(len(arriving), share / np.pi)


def ggx(alpha: float) -> Brdf:
    """The lobe of Walter et al. (2007), their D and G1 for GGX, for a sheet facing +z; no Fresnel term."""

    def shadowing(cosine: Array) -> Array:
        return np.asarray(2 / (1 + np.sqrt(1 + alpha**2 * (1 / cosine**2 - 1))))

    def lobe(arriving: Array, leaving: Array) -> Array:
        half = arriving + leaving
        cosine = half[:, 2] / np.linalg.norm(half, axis=1)
        facets = alpha**2 / (np.pi * (cosine**2 * (alpha**2 - 1) + 1) ** 2)
        inward, outward = arriving[:, 2], leaving[:, 2]
        return np.asarray(facets * shadowing(inward) * shadowing(outward) / (4 * inward * outward))

    return lobe


def metallised(reflectance: float, alpha: float, share: float) -> Brdf:
    """Lobe and matte part together, returning `reflectance` at normal incidence by a sum over directions."""
    cosine = (np.arange(20_000) + 0.5) / 20_000
    out = np.stack([np.sqrt(1 - cosine**2), 0 * cosine, cosine], axis=1)
    albedo = 2 * np.pi * np.mean(ggx(alpha)(np.broadcast_to(Z, out.shape), out) * cosine)
    scale = reflectance * (1 - share) / albedo
    return lambda arriving, leaving: (
        scale * ggx(alpha)(arriving, leaving) + diffuser(reflectance * share)(arriving, leaving)
    )


def _sheet_scene(emission: Json, material: Json, places: list[Array], looks: list[Array]) -> Json:
    across = np.cross(-LAMP_AT, Z) / np.linalg.norm(np.cross(-LAMP_AT, Z))
    down = np.cross(-LAMP_AT / np.linalg.norm(LAMP_AT), across)
    small = lamp(LAMP_AT, 0.005 * across, 0.005 * down, "rectangle", emission)
    screen = panel("screen", 0 * Z, 0.5 * X, 0.5 * Y, material)
    return scene([small], [point(place, look) for place, look in zip(places, looks, strict=True)], [screen])


def sheet(emission: Json) -> ClosedForm:
    """A lamp, a translucent sheet and two points, one on either side; no other surface about."""
    places = [np.array([-0.5, 0.1, 0.4]), np.array([0.2, -0.3, -0.5])]
    # Both points look away from the lamp, so that they get nothing from it directly.
    looks = [np.array([0.2, 0.0, -1.0]), np.array([-0.1, 0.1, 1.0])]
    looks = [look / np.linalg.norm(look) for look in looks]
    wanted = tuple(
        sheet_light(emission, LAMP_AT, place, look, diffuser(share))
        for share, place, look in zip((0.3, 0.5), places, looks, strict=True)
    )
    material = {"kind": "translucent", "transmittance": 0.5, "reflectance": 0.3}
    return ClosedForm(
        f"sheet, lamp {emission['kind']}",
        _sheet_scene(emission, material, places, looks),
        wanted,
        "quadrature over the sheet of Lambert's cosine law, twice",
    )


def silver(alpha: float, share: float) -> ClosedForm:
    """A lamp and a metallised sheet, seen in its mirror direction and from beside it."""
    places = [np.array([-0.5, -0.1, 0.6]), np.array([0.1, 0.6, 0.3])]
    looks = [np.array([0.0, -0.05, -1.0]), np.array([-0.1, -0.3, -0.5])]
    looks = [look / np.linalg.norm(look) for look in looks]
    brdf = metallised(0.8, alpha, share)
    wanted = tuple(
        sheet_light(LAMBERTIAN, LAMP_AT, place, look, brdf) for place, look in zip(places, looks, strict=True)
    )
    material = {"kind": "metallised", "reflectance": 0.8, "ggx_alpha": alpha, "matte_share": share}
    return ClosedForm(
        f"metallised sheet, α = {alpha}, matte share {share}",
        _sheet_scene(LAMBERTIAN, material, places, looks),
        wanted,
        "quadrature over the sheet of Walter et al. (2007)",
    )


def net() -> ClosedForm:
    """A net that passes 60 % straight: the lamp through it, and its own fibre from the lamp's side."""
    at = np.array([0.0, 0.0, 0.7])
    small = lamp(at, 0.005 * X, -0.005 * Y, "rectangle")
    mesh = panel("net", 0 * Z, 0.5 * X, 0.5 * Y, matte(0.4), straight=0.6)
    before, look, behind = np.array([-0.5, 0.1, 0.4]), np.array([0.2, 0.0, -1.0]), -0.5 * Z
    look = look / np.linalg.norm(look)
    through = 0.6 * 1e-4 / 1.2**2
    returned = 0.4 * sheet_light(LAMBERTIAN, at, before, look, diffuser(0.4))
    return ClosedForm(
        "net, through and off it",
        scene([small], [point(behind, Z), point(before, look)], [mesh]),
        (through, returned),
        "inverse square; quadrature over the net",
    )


def crescent() -> ClosedForm:
    """A matte ellipsoid lit from the side, seen as a crescent: a quadrature over its skin."""
    place, at, axes = np.array([0.0, 0.0, -0.5]), np.array([1.2, 0.3, 0.1]), np.array([0.2, 0.12, 0.15])
    polar = np.arccos(1 - 2 * (np.arange(1000) + 0.5) / 1000)
    turn = 2 * np.pi * (np.arange(1000) + 0.5) / 1000
    unit = np.stack(
        [
            np.outer(np.sin(polar), np.cos(turn)),
            np.outer(np.sin(polar), np.sin(turn)),
            np.outer(np.cos(polar), np.ones(1000)),
        ],
        axis=-1,
    ).reshape(-1, 3)
    skin, outward = unit * axes, unit / axes
    stretch = np.linalg.norm(outward, axis=1)
    normal, area = outward / stretch[:, None], np.prod(axes) * stretch * 4 * np.pi / len(unit)
    aim = -at / np.linalg.norm(at)
    to_lamp, to_point = at - skin, place - skin
    r1, r2 = np.linalg.norm(to_lamp, axis=1), np.linalg.norm(to_point, axis=1)
    lit = 1e-4 * np.maximum((to_lamp * normal).sum(axis=1), 0) * -(to_lamp @ aim) / r1**4
    seen = np.maximum((to_point * normal).sum(axis=1), 0) * np.maximum(-to_point[:, 2], 0) / r2**4
    wanted = float(0.7 / np.pi * np.sum(lit * seen * area))
    across = np.cross(aim, Z) / np.linalg.norm(np.cross(aim, Z))
    small = lamp(at, 0.005 * across, 0.005 * np.cross(aim, across), "rectangle")
    return ClosedForm(
        "ellipsoid seen as a crescent",
        # The point looks along +z, with the lamp in its half-space hidden by a black sheet beside it.
        scene(
            [small],
            [point(place, Z)],
            [panel("hood", place + np.array([0.12, 0.03, 0.06]), 0.06 * Z, 0.06 * Y, BLACK)],
            [solid(0 * Z, list(axes), matte(0.7))],
        ),
        (wanted,),
        "quadrature over the ellipsoid of Lambert's cosine law, twice",
    )


def furnace() -> ClosedForm:
    """Light of one luminance from all sides: whatever absorbs nothing can't be seen in it."""
    walls = []
    for axis in range(3):
        for sign in (1.0, -1.0):
            u, v = np.eye(3)[(axis + 1) % 3], np.eye(3)[(axis + 2) % 3]
            sides = (v, u) if sign > 0 else (u, v)
            walls.append(lamp(sign * np.eye(3)[axis], *sides, "rectangle"))
    screen = {"kind": "translucent", "transmittance": 0.4, "reflectance": 0.6}
    panels = [
        panel("card", 0.3 * X, 0.3 * Y, 0.3 * Z, matte(1.0)),
        panel("screen", -0.3 * X, 0.3 * Y, 0.3 * Z, screen),
        panel("net", 0.2 * Y, 0.3 * X, 0.3 * Z, matte(1.0), straight=0.4),
    ]
    solids = [solid(np.array([0, -0.4, 0.1]), [0.2, 0.1, 0.3], matte(1.0))]
    points = [point(-0.3 * Z, np.array([1.0, 1.0, 2.0])), point(np.array([0.1, 0, -0.2]), Z, "dome")]
    return ClosedForm(
        "white furnace with card, screen, net and solid",
        scene(walls, points, panels, solids),
        (np.pi, 2 * np.pi),
        "radiance is conserved; ∫(1 + cos θ)/2 over the sphere is 2π",
    )


def integrating_sphere(reflectance: float) -> ClosedForm:
    """Bounced light on the wall of a sphere: Φ/(4πR²) · ρ/(1 − ρ), the same everywhere."""
    radius = 0.001
    small = lamp(0 * Z, radius * X, radius * Y, luminance=1 / (np.pi * radius) ** 2)
    wall = solid(0 * Z, [1.0, 1.0, 1.0], matte(reflectance))
    wanted = reflectance / (1 - reflectance) / (4 * np.pi)
    return ClosedForm(
        f"integrating sphere, ρ = {reflectance}",
        scene([small], [point(-0.9999 * Z, Z)], solids=[wall]),
        (wanted,),
        "Goebel, Generalized Integrating-Sphere Theory (1967)",
    )


def closed_forms() -> list[ClosedForm]:
    """All of them."""
    laws: list[Json] = [
        LAMBERTIAN,
        {"kind": "beam", "half_angle_deg": 25.0},
        {"kind": "gridded", "cutoff_deg": 40.0},
    ]
    return [
        discs(),
        squares(),
        octagon(),
        dome(),
        flag(),
        eclipse(),
        *(sheet(law) for law in laws),
        silver(0.3, 0.2),
        silver(0.15, 0.0),
        net(),
        crescent(),
        furnace(),
        integrating_sphere(0.5),
        integrating_sphere(0.8),
    ]
