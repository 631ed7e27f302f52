"""The staging: one recipe resolved against one studio, everything in metres.

`Scene` is all that light can meet and all that is measured; the exposure engine reads nothing else.
`Staging` adds what people handle: the numbered things, stands, the camera's view, the room's plan.
"""

from dataclasses import dataclass, field
from typing import Literal, TypeAlias

from thirdstop.staging.learned import Learned
from thirdstop.staging.points import MeasuringPoint
from thirdstop.staging.shapes import Ellipsoid, Emission, Emitter, Outline, Panel
from thirdstop.typed import Array, Vec

Wall: TypeAlias = Literal["back wall", "front wall", "left wall", "right wall"]
"""As the camera sees them: the back wall is behind the sitter, the front wall behind the camera."""

Kind: TypeAlias = Literal["sitter", "camera", "lamp", "card", "blocker", "backdrop"]


@dataclass(frozen=True, eq=False)
class Scene:
    """What light can meet, and where it is measured. The room's six surfaces are the first six panels."""

    panels: tuple[Panel, ...]
    solids: tuple[Ellipsoid, ...]
    emitters: tuple[Emitter, ...]
    points: tuple[MeasuringPoint, ...]


@dataclass(frozen=True)
class Door:
    """An opening in a wall, drawn on the plan; from and to run along the wall (x or y of the house axes)."""

    wall: Wall
    from_m: float
    to_m: float


@dataclass(frozen=True, eq=False)
class Fixed:
    """A fixed thing in the room as an upright box: footprint, shape (4, 2), and its heights."""

    name: str
    footprint_m: Array
    bottom_m: float
    top_m: float


@dataclass(frozen=True)
class Room:
    """The room about the mark: x of the left and right walls, y of the front and back walls, ceiling z."""

    left_m: float
    right_m: float
    front_m: float
    back_m: float
    height_m: float
    doors: tuple[Door, ...] = ()
    fixed: tuple[Fixed, ...] = ()
    corner: str = "back left corner"
    """The corner from which M is measured, as the camera sees it."""

    @property
    def width_m(self) -> float:
        """Between the left and the right wall."""
        return self.right_m - self.left_m

    @property
    def length_m(self) -> float:
        """Between the front and the back wall."""
        return self.back_m - self.front_m


@dataclass(frozen=True, eq=False)
class CameraView:
    """The camera: focal-plane mark, axes of the picture, and half the field as tangents."""

    focal_plane_m: Vec
    forward: Vec
    right: Vec
    up: Vec
    focal_length_m: float
    sensor_across_m: float
    """Sensor's extent along `right`, as it is held."""
    sensor_upright_m: float
    """Sensor's extent along `up`, as it is held."""
    tan_half_across: float
    """Half the field along `right` at unit distance from the lens, focused on the nose."""
    tan_half_upright: float
    distance_m: float
    """From the focal-plane mark to the nose."""
    image_distance_m: float = 0.0
    """From the lens (its thin-lens centre) back to the focal plane, focused on the nose."""

    @property
    def lens_m(self) -> Vec:
        """The thin-lens centre: apex of the field."""
        return self.focal_plane_m + self.image_distance_m * self.forward


@dataclass(frozen=True, eq=False)
class Support:
    """What holds a thing up: a stand, perhaps with a boom, perhaps with a bag."""

    stand: str
    base_m: Vec
    """Foot of the column on the floor, shape (3,), z = 0."""
    column_top_m: Vec
    leg_reach_m: float
    stand_mass_kg: float
    load_m: Vec
    """Where the load hangs (the middle of its body)."""
    load_mass_kg: float
    boom: str | None = None
    boom_mass_kg: float = 0.0
    boom_reach_m: float = 0.0
    boom_rear_m: float = 0.0
    """Length of the boom behind the knuckle."""
    counterweight_kg: float = 0.0
    """Hung at the boom's rear end."""
    boom_side: str | None = None
    """In words, the side it comes from: 'camera-right'."""
    bag_mass_kg: float = 0.0
    bag_on: Literal["column", "leg"] = "column"
    """Where the bag hangs; 'leg': half-way out on the leg that is under the load."""
    stand_max_m: float | None = None
    stand_min_m: float | None = None


@dataclass(frozen=True, eq=False)
class Item:
    """A numbered thing of the drawings, the parts table and the set-up card."""

    number: int
    kind: Kind
    name: str
    gear: str
    """What it is, in words: 'round box 90 on battery 400', 'folding 120 × 90'."""
    centre_m: Vec
    """Middle of its face (lamp, card, blocker, sheet), the focal-plane mark, or the nose."""
    normal: Vec
    half_u_m: Vec
    half_v_m: Vec
    outline: Outline
    toward_m: float
    """Of the floor point: distance toward the camera from M, negative away."""
    side_m: float
    """Of the floor point: distance to camera-right of M, negative camera-left."""
    height_m: float
    lean_deg: float
    """0 upright, 90 facing straight up (`lean_way` 'up') or down ('down')."""
    lean_way: Literal["up", "down", "upright"]
    swing_deg: float
    """Plan direction of the face's normal: degrees from the line M→camera, positive camera-right."""
    roll_deg: float
    string_m: float
    string_from: str
    """What the string is held to: 'nose', 'backdrop', 'focal-plane mark to nose'."""
    bearing_deg: float
    """At the mark, from the line M→camera, positive camera-right."""
    aim: str
    surface: str | None = None
    back_surface: str | None = None
    """For a card: the side that looks away."""
    body: tuple[Array, ...] = ()
    """Polygons in space, each of shape (n, 3), of what stands behind the face: a box's shell, a head."""
    support: Support | None = None
    held_by: str = ""
    """Who or what holds a thing that has no stand, in the recipe's words; empty where it says nothing."""
    role: str = ""
    """For a lamp: 'key', 'backdrop light', 'accent', 'wall light'."""


@dataclass(frozen=True, eq=False)
class SitterPlace:
    """A sitter as placed: the head's frame and what people ask of it."""

    index: int
    name: str
    pose: Literal["seated", "standing"]
    eye_height_m: float
    nose_m: Vec
    forward: Vec
    """Unit nose line of the head, chin tilt included."""
    sitter_right: Vec
    """Unit direction to the sitter's own right."""
    up: Vec
    """Unit crown direction of the head."""
    gaze: Vec
    eyes_m: Array
    """Pupils, shape (2, 3): the sitter's right eye, the sitter's left eye."""
    head_centre_m: Vec
    crown_m: Vec
    """Top of the head (and of the hat, if one is worn)."""
    body_turn_deg: float
    """Positive: the chest looks to camera-right."""
    head_turn_deg: float
    chin_deg: float
    """Positive: chin up."""
    seat_height_m: float | None
    hat: str | None
    glasses: str | None
    mark_m: Vec
    """This sitter's own mark on the floor, under the nose, shape (3,)."""
    glasses_tilt_deg: float
    """Of the glasses worn, or of usual ones."""
    glasses_base_dioptre: float


@dataclass(frozen=True)
class TargetPlace:
    """What the recipe wants, in numbers; None where it wants nothing."""

    ratio: float | None
    convention: Literal["lit to shadow", "key to fill"]
    within_stops: float
    between: tuple[str, str] | None
    """Names of two measuring points, brighter first or not; None means the two cheeks."""
    backdrop_light_stops: float | None = None
    backdrop_tone_stops: float | None = None


@dataclass(frozen=True)
class MeterPlace:
    """The meter and the camera's settings as they bear on a reading."""

    iso: float
    aperture: float
    shutter_s: float
    constant_flat: float
    constant_dome: float
    step_stops: float
    exposure_point: str
    """Name of the measuring point whose reading sets the aperture."""
    ambient_lux: float | None = None


@dataclass(frozen=True, eq=False)
class MeteredOutput:
    """A lamp's output known by one metered reading on its axis."""

    f_number: float
    iso: float
    receptor: Literal["flat", "dome"]
    distance_m: float
    click: int
    room: Scene | None = None
    """For a reading in the open room: the bare room with the face at unit luminance and the one point; None
    where the room's return was masked off."""


@dataclass(frozen=True)
class GuideNumberOutput:
    """A lamp's output known by a guide number in metres, at full power, for a flat receptor."""

    guide_number_m: float
    iso: float


@dataclass(frozen=True)
class EnergyOutput:
    """A lamp's output estimated from stored energy: efficacy in lm·s/J, the share that leaves the face."""

    energy_j: float
    efficacy_lm_s_j: float
    passes: float


Output: TypeAlias = MeteredOutput | GuideNumberOutput | EnergyOutput


@dataclass(frozen=True, eq=False)
class LampPlace:
    """An emitter's power as people set it."""

    emitter: str
    lamp: str
    clicks: int
    """How many settings there are; click 1 is the lowest, the last one is full power."""
    display: tuple[str, ...]
    """What the trigger shows at each click, lowest first."""
    click: int | None
    """The click that the recipe states; None where it is to be found."""
    level_stops: float | None
    """Wanted at the backdrop behind the head, from the key reading, when the click is to be found by that."""
    output: Output
    bare_emission: Emission
    """How the shaper throws its light without a grid: what its output was known with."""
    axial_loss_stops: float
    """What a grid and a gel take on the axis, together."""
    energy_j: float
    output_known_by: str
    """In words: 'metered', 'guide number', 'watt-seconds, assumed efficacy'."""
    output_spread_stops: float
    """Half-width of the 90 % band of its output."""
    role: str
    group: str | None = None
    modelling: bool = False
    gel: str | None = None
    mains: bool | None = None
    """Whether it hangs on a mains lead; None where that is not known."""
    recycle_s: float | None = None
    """Time to be ready again after a full pop; None where the studio file doesn't say."""
    pops: int | None = None
    """Full pops from one charge; None where the studio file doesn't say."""


@dataclass(frozen=True, eq=False)
class Staging:
    """One recipe in one studio, resolved. Everything later reads this and nothing of the text."""

    title: str
    slug: str
    scene: Scene
    room: Room
    camera: CameraView
    sitters: tuple[SitterPlace, ...]
    items: tuple[Item, ...]
    lamps: tuple[LampPlace, ...]
    meter: MeterPlace
    target: TargetPlace
    walkway_m: float
    behind_camera_m: float
    """Room that the house keeps free behind the focal plane."""
    framing: str
    fastest_s: float = 1.0
    """The house's shortest time between two flashes."""
    frames: int = 300
    """Frames of one session, for which a charge is to last."""
    learned: Learned | None = None
    """What readings told of the studio, as far as it bears on this; None where nothing is calibrated."""
    measured: dict[str, bool] = field(default_factory=dict)
    """Surface or lamp name → whether its value was measured (False: assumed)."""

    @property
    def key(self) -> str:
        """Name of the key's emitter: the first lamp of the recipe."""
        return self.lamps[0].emitter

    def item(self, name: str) -> Item:
        """The numbered thing of that name; KeyError where there is none."""
        for item in self.items:
            if item.name == name:
                return item
        raise KeyError(name)
