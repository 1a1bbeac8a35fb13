"""The closed lists of words in which a job is written, each with its meaning.

The words of findings follow shop use and the vocabularies of ISO 15243 (rolling bearings) and ISO 10825 (gears);
their short meanings are our own, from memory of those standards and common practice.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Final

__all__ = [
    "FINDING_MEANS",
    "Debris",
    "Degree",
    "Feel",
    "FindingWord",
    "FluidColour",
    "FluidLevel",
    "FluidSmell",
    "Load",
    "Onset",
    "PartVerdict",
    "Pattern",
    "Stage",
    "Temperature",
]


class Stage(StrEnum):
    """The nine stages of a job, in order."""

    INTAKE = "intake"
    DIAGNOSE = "diagnose"
    TEARDOWN = "teardown"
    INSPECT = "inspect"
    DECIDE = "decide"
    FIT = "fit"
    BUILD = "build"
    PROVE = "prove"
    HANDOVER = "hand over"


class Feel(StrEnum):
    """What the vehicle does."""

    SLIPS = "slips"
    FLARES = "flares"
    LATE = "engages late"
    HARSH = "shifts harshly"
    BINDS = "binds"
    NO_DRIVE = "no drive"
    JUMPS_OUT = "jumps out"
    SHUDDERS = "shudders"
    WHINES = "whines"
    RUMBLES = "rumbles"
    CLUNKS = "clunks"
    LEAKS = "leaks"
    OVERHEATS = "overheats"


class Temperature(StrEnum):
    """At which temperature."""

    COLD = "cold"
    HOT = "hot"
    ANY = "cold and hot"


class Load(StrEnum):
    """At which load."""

    LIGHT = "light"
    MEDIUM = "medium"
    FULL = "full"
    COAST = "coast"
    ANY = "any load"


class Onset(StrEnum):
    """Since when."""

    SUDDEN = "suddenly"
    GRADUAL = "little by little"
    AFTER_WORK = "after earlier work"
    AFTER_TOWING = "after towing"
    UNKNOWN = "not known"


class FluidLevel(StrEnum):
    """How the level stood, checked the unit's own way."""

    LOW = "low"
    RIGHT = "right"
    OVER = "too high"
    UNKNOWN = "not checked"


class FluidColour(StrEnum):
    """Colour on white paper; many fluids brown early, so colour alone condemns nothing (common practice)."""

    CLEAR = "clear"
    BROWN = "brown"
    BLACK = "black"
    MILKY = "milky"
    GLITTER = "with metal glitter"


class FluidSmell(StrEnum):
    """Smell."""

    NORMAL = "normal"
    BURNT = "burnt"
    FUEL = "of fuel"


class Debris(StrEnum):
    """What lies in the pan."""

    PASTE = "fine grey paste"
    FRICTION = "friction dust"
    FLAKES = "lining flakes"
    STEEL = "steel slivers"
    BRASS = "brass or bronze"
    ALUMINIUM = "aluminium"
    NEEDLES = "needles or rollers"
    PLASTIC = "plastic"
    RUBBER = "rubber"
    SEALANT = "sealant strings"
    WATER = "water"
    CLEAN = "clean"


class Degree(StrEnum):
    """How much."""

    LIGHT = "light"
    MEDIUM = "medium"
    HEAVY = "heavy"


class Pattern(StrEnum):
    """Where on the part, or on how many of its kind."""

    ALL_ROUND = "all round"
    ONE_SIDE = "one side"
    ONE_OF_MANY = "one of many"
    BOTH_FACES = "both faces"
    ONE_FACE = "one face"
    ENDS = "at the ends"
    ONE_SPOT = "one spot"


class PartVerdict(StrEnum):
    """What the person who looked says should happen."""

    KEEP = "keep"
    REPLACE = "replace"
    MACHINE = "machine"
    ASK = "ask"


class FindingWord(StrEnum):
    """The closed list of words for what is seen on a part."""

    ABRADED = "abraded"
    BLUED = "blued"
    BRINELLED = "brinelled"
    BURNT = "burnt"
    BURRED = "burred"
    CHECKED = "heat-checked"
    CHIPPED = "chipped"
    CONED = "coned"
    CONTAMINATED = "contaminated"
    CORRODED = "corroded"
    CRACKED = "cracked"
    CRUSHED = "crushed"
    DELAMINATED = "delaminated"
    DISTORTED = "distorted"
    EMBEDDED = "embedded"
    EXCESS_PLAY = "too much play"
    FALSE_BRINELLED = "false-brinelled"
    FLAKED = "flaked"
    FLUTED = "fluted by current"
    FRETTED = "fretted"
    GALLED = "galled"
    GLAZED = "glazed"
    GOOD = "good"
    GROOVED = "grooved"
    HARDENED = "hardened"
    HOT_SPOTTED = "hot-spotted"
    INDENTED = "indented by debris"
    KEYSTONED = "keystoned"
    LOOSE = "loose in its bore"
    MISSING = "missing"
    NICKED = "nicked"
    OVAL = "out of round"
    PEENED = "peened"
    PITTED = "pitted"
    POLISHED = "polished"
    POUNDED = "pounded"
    ROUNDED = "rounded"
    SAGGED = "sagged"
    SCORED = "scored"
    SCUFFED = "scuffed"
    SEIZED = "seized"
    SHEARED = "sheared"
    SPALLED = "spalled"
    STEPPED = "step-worn"
    STICKING = "sticking"
    STRETCHED = "stretched"
    STRIPPED = "stripped"
    TWISTED = "twisted"
    VARNISHED = "varnished"
    WORN = "worn"


#: What each word of a finding means, and what it makes one suspect first.
FINDING_MEANS: Final[dict[FindingWord, str]] = {
    FindingWord.ABRADED: "fine even lines from dirt in the oil; suspect the cooler and the filter",
    FindingWord.BLUED: "temper colour from heat; suspect slip or starved oil",
    FindingWord.BRINELLED: "dents in a race at the spacing of its rollers, from a blow or a press",
    FindingWord.BURNT: "lining black, glazed or bare, with its smell; suspect slip",
    FindingWord.BURRED: "a raised sharp edge from handling",
    FindingWord.CHECKED: "a net of fine cracks on a friction face or a steel, from heat",
    FindingWord.CHIPPED: "an edge piece broken away; suspect shock",
    FindingWord.CONED: "a plate dished like a saucer, from heat",
    FindingWord.CONTAMINATED: "holds debris that cannot be washed out",
    FindingWord.CORRODED: "etched red-brown or black; suspect water",
    FindingWord.CRACKED: "separated, not through; say where",
    FindingWord.CRUSHED: "pressed flat, so that its bore is narrowed",
    FindingWord.DELAMINATED: "lining off its core; suspect water or heat",
    FindingWord.DISTORTED: "out of plane or out of shape; suspect heat or bolts",
    FindingWord.EMBEDDED: "particles stuck in a soft surface",
    FindingWord.EXCESS_PLAY: "moves further than its limit",
    FindingWord.FALSE_BRINELLED: "dull hollows at roller spacing, from shaking at rest",
    FindingWord.FLAKED: "a thin skin lost; suspect poor lubrication",
    FindingWord.FLUTED: "a washboard on a race from electric current; suspect a bad ground",
    FindingWord.FRETTED: "red-brown dust and a worn seat from small slip; suspect a loose fit",
    FindingWord.GALLED: "metal torn and moved from one face to the other; no oil, or too tight",
    FindingWord.GLAZED: "a smooth shining friction face; suspect slip or the wrong fluid",
    FindingWord.GOOD: "looked at, nothing found",
    FindingWord.GROOVED: "a single deep round line",
    FindingWord.HARDENED: "rubber without spring, its lip cracked; suspect heat or age",
    FindingWord.HOT_SPOTTED: "dark islands on a steel; suspect uneven slip",
    FindingWord.INDENTED: "small dents in a race where something was rolled over",
    FindingWord.KEYSTONED: "worn unevenly, so that a pinion tilts; suspect a starved pin",
    FindingWord.LOOSE: "has turned or moved in its bore",
    FindingWord.MISSING: "not there; suspect the last repair",
    FindingWord.NICKED: "one small hit from handling",
    FindingWord.OVAL: "its diameter differs with direction; suspect misalignment",
    FindingWord.PEENED: "an edge hammered broad; suspect looseness",
    FindingWord.PITTED: "small holes, on a tooth at its pitch line; suspect load",
    FindingWord.POLISHED: "bright and smooth; often harmless",
    FindingWord.POUNDED: "a dent where a ball sits",
    FindingWord.ROUNDED: "a corner that was sharp is not; suspect jumping out",
    FindingWord.SAGGED: "a spring shorter than its limit; suspect heat",
    FindingWord.SCORED: "parallel scratches that a nail feels; suspect debris or dry running",
    FindingWord.SCUFFED: "a dull rough band in the direction of sliding; no oil film",
    FindingWord.SEIZED: "stuck fast; no oil",
    FindingWord.SHEARED: "cut across; suspect shock or misalignment",
    FindingWord.SPALLED: "flakes out of a race or tooth from below its surface; load, age, misalignment",
    FindingWord.STEPPED: "a ledge between the used and the unused",
    FindingWord.STICKING: "does not fall free by its own weight; dirt or a bind",
    FindingWord.STRETCHED: "a bolt necked, its pitch drawn long; past yield",
    FindingWord.STRIPPED: "thread torn out; wrong length or too little engagement",
    FindingWord.TWISTED: "splines no longer straight; overload",
    FindingWord.VARNISHED: "a brown lacquer; heat",
    FindingWord.WORN: "used up; say by how much",
}
