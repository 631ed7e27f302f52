"""What `place` answers, as plain data: every number put back through staging and engine as it is printed."""

from dataclasses import dataclass

from thirdstop.checks.findings import Finding
from thirdstop.exposure.readings import LampReading, RatioReading
from thirdstop.placing.goals import Goal
from thirdstop.placing.values import Changes


@dataclass(frozen=True)
class ThingPlaced:
    """A card, a light or a blocker where it should stand."""

    name: str
    kind: str
    """'card', 'light' or 'blocker'."""
    string_m: float
    bearing_deg: float
    height_m: float
    toward_m: float
    """Of the floor point: toward the camera from M."""
    side_m: float
    """Of the floor point: to camera-right of M."""
    surface: str
    """Of a card or a blocker; empty for a light."""
    words: str
    """Its place in the recipe's own form: 'string 85 cm, bearing 70 deg camera-left'."""
    was: str
    """The same as the recipe has it now; empty where nothing changes."""
    from_backdrop: bool = False
    """True where the string is measured from the backdrop."""


@dataclass(frozen=True)
class Costs:
    """What an answer costs against the best one, or what the best one itself takes."""

    clear_m: float | None
    """How far the nearest of what moved is outside the picture; None where none of it is before the lens."""
    way_m: float | None
    """Width of the way from the door to the sitter; None where the room states no door."""
    clicks: tuple[tuple[str, int], ...]
    """Each lamp's click."""
    evenness_stops: float | None
    """Between the faces; else from face to feet in a full length; else from forehead to chest."""
    evenness_of: str
    """'between the faces', 'face to feet', 'forehead to chest'."""


@dataclass(frozen=True, eq=False)
class Placement:
    """One answer: where things stand, what the lamps are set to, what comes of it."""

    things: tuple[ThingPlaced, ...]
    lamps: tuple[LampReading, ...]
    ratio: RatioReading
    key_f_number: float
    key_off_stops: float
    """How far the key reading is over the aperture."""
    goals: tuple[Goal, ...]
    costs: Costs
    findings: tuple[Finding, ...]
    """What the checks say of it beyond what they say of the recipe as it is: looks and halts; and of a click
    that a lamp has not, in any case.
    """
    changes: Changes
    """The values to put into the recipe."""
    standing: tuple[Finding, ...] = ()
    """Looks and halts of it that the recipe as it is has too, the halts first."""


@dataclass(frozen=True, eq=False)
class Reached:
    """One end of what can be reached."""

    ratio: float
    things: tuple[ThingPlaced, ...]


@dataclass(frozen=True, eq=False)
class Suggestion:
    """A change beyond what may move, with what it gives."""

    words: str
    ratio: float
    things: tuple[ThingPlaced, ...]
    lamps: tuple[LampReading, ...]
    reaches: bool


@dataclass(frozen=True, eq=False)
class Answer:
    """Everything that `place` has to say of one ask."""

    slug: str
    title: str
    moved: tuple[str, ...]
    """Names of what may move, each with its free aspects: 'card: distance, bearing'."""
    best: Placement | None
    """None where the target can't be met."""
    others: tuple[Placement, ...]
    """The next best."""
    lowest: Reached | None = None
    highest: Reached | None = None
    suggestions: tuple[Suggestion, ...] = ()
    against_spill: Suggestion | None = None
    """A blocker for the best answer, where the room gives the shadow side more than the cards do."""
    reason: str = ""
    """Why there is no answer."""
    refused: str = ""
    """What `proof` finds wrong with the ratio that the recipe wants, with its file and line."""
    wanted_ratio: float | None = None
    convention: str = "lit to shadow"
    within_stops: float = 0.0
    solved: int = 0
    """How many times light was computed."""
