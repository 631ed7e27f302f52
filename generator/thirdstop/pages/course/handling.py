"""Questions about what hands do: where a thing stands, what holds it, what is turned."""

import math
from fractions import Fraction

from thirdstop.checks.battery import LEAST_INTERVAL_S, fastest_rhythm_s
from thirdstop.checks.statics import required_bag_kg
from thirdstop.exposure.stops import aperture_value, f_number_of, third_mark
from thirdstop.pages import figures
from thirdstop.pages.course.question import Question, question
from thirdstop.pages.evaluated import Evaluated
from thirdstop.staging.staging import Item

CLICKS_A_STOP = 3


def bag(evaluated: Evaluated) -> Question | None:
    """How heavy a bag the key's stand needs: the whole rig's balance, not the lamp's weight."""
    item = _key(evaluated)
    support = item.support
    if support is None or support.bag_on != "column":
        return None
    needed = math.ceil(required_bag_kg(support) * 2) / 2
    load, half = support.load_mass_kg, needed / 2
    if needed < 1:
        return None
    return question(
        evaluated,
        f"{item.gear.capitalize()} hangs at {figures.length(item.height_m)}. How heavy must the bag on the "
        "column be, at least, before it goes up?",
        (
            _kg(needed),
            "It holds against a push at that height, in the weakest direction of three legs.",
        ),
        [
            ("none", "Wide legs alone don't hold this load against a push."),
            (
                _kg(load),
                "Lamp and shaper weigh that; how high and how far out they hang counts too.",
            ),
            (_kg(half), "Half of it: right only if the load hung half as far out, or half as high."),
        ],
    )


def bag_place(evaluated: Evaluated) -> Question | None:
    """Where the bag hangs."""
    held = [item for item in evaluated.staging.items if item.support is not None]
    if not held or not any(item.support.bag_mass_kg for item in held if item.support):
        return None
    name = held[0].name
    return question(
        evaluated,
        f"The stand of '{name}' is open and its legs are spread. Where does the bag go, and when?",
        (
            "on the column, clear of the floor, before the load goes up",
            "Only a bag that hangs holds it down.",
        ),
        [
            (
                "on the floor against a leg",
                "Resting there it holds nothing until the stand tips.",
            ),
            ("on the column, once the load is up", "The stand is least steady while the load goes up."),
            (
                "on the boom's rear end",
                "The counterweight's place: it balances and doesn't hold down.",
            ),
        ],
    )


def rhythm(evaluated: Evaluated) -> Question | None:
    """How quickly one frame may follow another."""
    staging = evaluated.staging
    least = max(staging.fastest_s, LEAST_INTERVAL_S)
    fastest = fastest_rhythm_s(staging, evaluated.readings) or least
    return question(
        evaluated,
        "Before the first frame you ask about flashing light, migraine and seizures. The answer is no. "
        "How quickly may one flash follow another?",
        (
            f"{fastest:.1f} s apart at the least",
            "The house's least, or the lamp's pace if slower.",
        ),
        [
            ("as fast as the lamp is ready", "The house's cap holds however quick the lamp is."),
            (f"{fastest / 4:.2f} s apart at the least", "Four times too fast; and no bursts."),
            ("any, since the answer was no", "People may not know of their own sensitivity."),
        ],
    )


def floor_point(evaluated: Evaluated) -> Question | None:
    """From string, bearing and height to the floor point."""
    item = _key(evaluated)
    out_m = item.string_m
    angle = math.radians(item.bearing_deg)
    right = _point(item.toward_m, item.side_m)
    return question(
        evaluated,
        f"The key's string is {figures.length(item.string_m)}, its bearing {figures.turn(item.bearing_deg)}, "
        f"its height {figures.length(item.height_m)}. Where does a plumb line from the middle of its face "
        "meet the floor, measured from M?",
        (right, "The string slopes up from the nose; the floor distance is what is left of it."),
        [
            (_point(item.toward_m, -item.side_m), "That is on the other side of the camera line."),
            (_point(-item.toward_m, item.side_m), "That is away from the camera, behind M."),
            (
                _point(out_m * math.cos(angle), out_m * math.sin(angle)),
                "That lays the whole string on the floor; it rises to the lamp's height on the way.",
            ),
        ],
    )


def turn_back(evaluated: Evaluated) -> Question | None:
    """Clicks for a reading that is off by thirds."""
    wanted = evaluated.staging.meter.aperture
    thirds = (1, 2, -1, -2, 4, -3)[sum(map(ord, evaluated.slug)) % 6]
    seen = third_mark(f_number_of(aperture_value(wanted) + thirds / 3))
    if not seen.startswith("f/"):
        return None
    way, other = ("down", "up") if thirds > 0 else ("up", "down")
    count = abs(thirds)
    return question(
        evaluated,
        f"The key reading should be {third_mark(wanted)}. The meter shows {seen}. What do you turn?",
        (
            f"the key {way} {_clicks(count)}",
            f"{_stops(count)} {'over' if thirds > 0 else 'under'}; a click is a third.",
        ),
        [
            (
                f"the key {other} {_clicks(count)}",
                "A higher f-number means more light, not less.",
            ),
            (f"the key {way} {_clicks(count * CLICKS_A_STOP)}", "That takes each third for a whole stop."),
            (
                f"the key {way} {_clicks(count + 1)}",
                "One too many: count the steps, not the marks.",
            ),
        ],
    )


def another_aperture(evaluated: Evaluated) -> Question | None:
    """Clicks from one aperture to another, two stops off."""
    now = evaluated.staging.meter.aperture
    step = 2 if now < 9 else -2
    wanted = f_number_of(aperture_value(now) + step)
    way, other = ("up", "down") if step > 0 else ("down", "up")
    lamps = "every lamp" if len(evaluated.staging.lamps) > 1 else "the key"
    return question(
        evaluated,
        f"The same picture is wanted at {third_mark(wanted)} instead of {third_mark(now)}, at the same ISO. "
        "What do you turn?",
        (f"{lamps} {way} {_clicks(6)}", "Two stops, three clicks each; the ratio stays."),
        [
            (f"{lamps} {way} {_clicks(2)}", "That takes a click for a stop."),
            (f"{lamps} {other} {_clicks(6)}", "A higher f-number lets less light in, so more is needed."),
            ("nothing: the ratio stays", "The ratio stays, but the frame's exposure would not."),
        ],
    )


def _key(evaluated: Evaluated) -> Item:
    return evaluated.staging.item(evaluated.staging.key)


def _point(toward_m: float, side_m: float) -> str:
    return f"{figures.along(toward_m)}, {figures.across(side_m)}"


def _kg(mass_kg: float) -> str:
    return str(figures.kilograms(mass_kg))


def _clicks(count: int) -> str:
    return "1 click" if count == 1 else f"{count} clicks"


def _stops(thirds: int) -> str:
    amount = Fraction(thirds, 3)
    return f"{amount} stop" if amount <= 1 else f"{amount} stops"
