"""The table of kinds: for each its name in messages, a right example, its units, and its range."""

from dataclasses import replace
from fractions import Fraction

from thirdstop.book.grammar import Kind
from thirdstop.book.quantities import INCHES_PER_FOOT
from thirdstop.constants import METRES_PER_INCH

INCH = Fraction(str(METRES_PER_INCH))
FOOT = INCHES_PER_FOOT * INCH
OUNCES_PER_POUND = 16
POUND = Fraction("0.45359237")  # exact: international yard and pound agreement (1959)
_LENGTH_UNITS = {
    "m": Fraction(1),
    "cm": Fraction(1, 100),
    "mm": Fraction(1, 1000),
    "ft": FOOT,
    "in": INCH,
    "'": FOOT,
    '"': INCH,
}
_DEGREES = {"deg": Fraction(1), "°": Fraction(1)}

LENGTH = Kind("a length", "40 cm", _LENGTH_UNITS, Fraction(100), "100 m", big_units=((5, "cm"), (500, "mm")))
SIZE = replace(LENGTH, name="a size", example="120 x 90 cm", suggests=False)
SIDE = replace(
    LENGTH,
    name="a distance to one side",
    example="40 cm camera-left",
    tails=(" camera-right", " camera-left"),
)
TOWARD = replace(
    LENGTH,
    name="a distance along the camera line",
    example="50 cm toward camera",
    tails=(" toward camera", " away from camera"),
)
OFFSET = replace(
    LENGTH, name="an offset", example="10 cm toward camera", tails=(" toward camera", " away from camera")
)
ANGLE = Kind("an angle", "15 deg", _DEGREES, Fraction(360), "360 deg")
TURN = replace(
    ANGLE,
    name="a turn",
    example="30 deg camera-right",
    most=Fraction(180),
    most_text="180 deg",
    tails=(" camera-right", " camera-left"),
)
TILT = replace(
    ANGLE, name="a tilt", example="10 deg up", most=Fraction(90), most_text="90 deg", tails=(" up", " down")
)
ROLL = replace(TURN, name="a roll", example="10 deg clockwise", tails=(" clockwise", " anticlockwise"))
STOPS = Kind(
    "a difference in stops",
    "-1.5 stops",
    {"stop": Fraction(1), "stops": Fraction(1)},
    Fraction(30),
    "30 stops",
    signs="+-",
    big_units=((1.0001, "stops"),),
)
TOLERANCE = replace(
    STOPS, name="a tolerance", example="1/3 stop", signs="", most=Fraction(10), most_text="10 stops"
)
RELATIVE_STOPS = replace(
    STOPS, name="a level in stops", example="-1.5 stops from key", tails=(" from key", " from mid-grey")
)
APERTURE = Kind("an aperture", "f/8", {}, Fraction(128), "f/128", least=Fraction(1, 2), least_text="f/0.5")
RATIO = Kind("a ratio", "4:1", {}, Fraction(1000), "1000:1")
SHARE = Kind("a share", "0.55", {"%": Fraction(1, 100)}, Fraction(1), "1 (100 %)")
DURATION = Kind(
    "a time",
    "1/160 s",
    {"s": Fraction(1), "ms": Fraction(1, 1000), "min": Fraction(60), "h": Fraction(3600)},
    Fraction(86_400),
    "24 h",
)
TEMPERATURE = Kind(
    "a colour temperature",
    "5500 K",
    {"K": Fraction(1)},
    Fraction(25_000),
    "25000 K",
    least=Fraction(1000),
    least_text="1000 K",
)
MIRED = Kind("a mired shift", "+40 mired", {"mired": Fraction(1)}, Fraction(500), "500 mired", signs="+-")
MASS = Kind(
    "a mass",
    "2.5 kg",
    {"kg": Fraction(1), "g": Fraction(1, 1000), "lb": POUND, "oz": POUND / OUNCES_PER_POUND},
    Fraction(500),
    "500 kg",
    big_units=((100, "g"),),
)
ENERGY = Kind(
    "a flash energy",
    "400 J",
    {"J": Fraction(1), "Ws": Fraction(1), "W·s": Fraction(1), "kJ": Fraction(1000)},
    Fraction(20_000),
    "20000 J",
)
EFFICACY = Kind(
    "an efficacy",
    "40 lm·s/J",
    {"lm·s/J": Fraction(1), "lm s/J": Fraction(1), "lm s / J": Fraction(1)},
    Fraction(200),
    "200 lm·s/J",
)
ILLUMINANCE = Kind(
    "an illuminance", "150 lux", {"lux": Fraction(1), "lx": Fraction(1)}, Fraction(200_000), "200000 lux"
)
ISO = Kind(
    "an ISO speed", "ISO 100", {}, Fraction(1_000_000), "ISO 1000000", least=Fraction(1), least_text="ISO 1"
)
FOCAL_LENGTH = Kind(
    "a focal length",
    "85 mm",
    {"mm": Fraction(1)},
    Fraction(2000),
    "2000 mm",
    least=Fraction(4),
    least_text="4 mm",
)
GUIDE_NUMBER = Kind("a guide number", "60 m", {"m": Fraction(1), "ft": FOOT}, Fraction(500), "500 m")
CLICK = Kind(
    "a click", "click 14", {}, Fraction(99), "click 99", least=Fraction(1), least_text="click 1, the lowest"
)
DIOPTRE = Kind("a dioptre", "4 D", {"D": Fraction(1)}, Fraction(30), "30 D", signs="+-")
COUNT = Kind("a count", "2", {}, Fraction(100_000), "100000")
