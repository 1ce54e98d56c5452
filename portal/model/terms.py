"""Closed sets of words; each value is the text that stands in a file."""

from enum import StrEnum

SHOP = "shop"
"""The shop itself, as owner, party or audience, where else a customer's slug stands."""


class VerdictWord(StrEnum):
    """What can be said of a finding, a cavity or a trial."""

    CONFORMS = "conforms"
    DOES_NOT_CONFORM = "does not conform"
    UNDECIDED = "undecided"
    NOT_JUDGED = "not judged"

    @property
    def badness(self) -> int:
        """Worst is highest: does not conform, undecided, not judged, conforms."""
        order = (self.CONFORMS, self.NOT_JUDGED, self.UNDECIDED, self.DOES_NOT_CONFORM)
        return order.index(self)

    def is_open(self) -> bool:
        """Whether somebody still has to decide something."""
        return self is not VerdictWord.CONFORMS


class Rule(StrEnum):
    """How a criterion is judged."""

    NONE = "none"
    NO_WORSE_THAN = "no-worse-than"
    LIMITS = "limits"
    ALLOWED = "allowed"


class Rank(StrEnum):
    """Where an agreement stands."""

    DRAWING = "drawing"
    CUSTOMER_STANDARD = "customer-standard"
    PART = "part"
    SHOP_STANDARD = "shop-standard"


class Severity(StrEnum):
    """How much a nonconformity matters; another axis than the class."""

    CRITICAL = "critical"
    MAJOR = "major"
    MINOR = "minor"


class Decision(StrEnum):
    """How a measured value is held against a limit."""

    SIMPLE = "simple"
    """The value against the limit; refused where the uncertainty is too wide for it."""
    GUARDED = "guarded"
    """ISO 14253-1:2017 practice: 95 % conformance probability for either claim."""


class Prevails(StrEnum):
    """What rules where a number and a limit sample both exist."""

    NUMBER = "number"
    SAMPLE = "sample"


class Concern(StrEnum):
    """What else than the look a defect may touch."""

    FUNCTION = "function"
    CONTAMINATION = "contamination"
    INJURY = "injury"


class ZoneKind(StrEnum):
    """What a zone is for."""

    APPEARANCE = "appearance"
    FUNCTIONAL = "functional"
    HIDDEN = "hidden"


class SeenAs(StrEnum):
    """How a view sees a zone."""

    FACE = "face"
    PROFILE = "profile"
    OBLIQUE = "oblique"


class Required(StrEnum):
    """Whether a view needs a picture even where nothing was found."""

    ALWAYS = "always"
    IF_FOUND = "if found"


class Seen(StrEnum):
    """Whether a finding was seen at the set condition."""

    YES = "yes"
    NO = "no"
    NOT_CHECKED = "not checked"


class Compared(StrEnum):
    """What the inspector said of a piece beside the limit sample."""

    BETTER = "better"
    SAME = "same"
    WORSE = "worse"
    CANNOT_TELL = "cannot tell"


class Edge(StrEnum):
    """How well the edge of a finding is defined."""

    SHARP = "sharp"
    TORN = "torn"
    SOFT = "soft"


class Drawn(StrEnum):
    """How the points of a shape were set."""

    BY_HAND = "by hand"
    EDGE_FOUND = "edge found"


class Made(StrEnum):
    """How a picture was made."""

    SINGLE = "single"
    STACKED = "stacked"
    STITCHED = "stitched"
    PHONE = "phone"


class ShapeKind(StrEnum):
    """What can be drawn on a picture."""

    POINT = "point"
    LINE = "line"
    BASE_AND_POINT = "base-and-point"
    RECTANGLE = "rectangle"
    ELLIPSE = "ellipse"
    OUTLINE = "outline"


class Characteristic(StrEnum):
    """What can be measured; closed."""

    HEIGHT = "height"
    DEPTH = "depth"
    STEP = "step"
    THICKNESS = "thickness"
    PROJECTION = "projection"
    MISSING_LENGTH = "missing-length"
    LENGTH = "length"
    RUN = "run"
    WIDTH = "width"
    STRING_LENGTH = "string-length"
    DIAMETER = "diameter"
    EQUIVALENT_DIAMETER = "equivalent-diameter"
    AREA = "area"
    PERIMETER = "perimeter"
    COUNT = "count"
    SPACING = "spacing"


class Probe(StrEnum):
    """What was felt rather than seen."""

    FINGERNAIL = "fingernail"
    PROBE = "probe"
    SHARP_TIP = "sharp tip"


class Answer(StrEnum):
    """One letter means one thing in every review."""

    INSIDE = "A"
    """Judged inside, or limit agreed."""
    OUTSIDE = "B"
    """Judged outside, not accepted, or limit not agreed."""
    CONCESSION = "C"
    REWORK = "D"
    MORE_EVIDENCE = "E"
    QUESTION_BACK = "?"
