"""What is possible where one of a few kinds holds: bit masks.

Several bits: any of them may be true; one bit: certain; none: does not apply. The numbers are stored: never reuse or
renumber one.
"""

from collections.abc import Mapping
from enum import IntFlag
from functools import lru_cache
from typing import Self

from webapp.errors import InvalidInputError


class Possible(IntFlag):
    """Base of the masks; a subclass gives the words for its members."""

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        """Member value -> the words people read."""
        raise NotImplementedError

    @classmethod
    def everything(cls) -> Self:
        """Nothing is known: every member is possible."""
        return cls(sum(cls.vocabulary()))

    @classmethod
    def from_keys(cls, text: str, separator: str = " ") -> Self:
        """The mask of the members named, e.g. ``"e3 e4"``; "" is none. InvalidInputError names a word that is none."""
        mask = cls(0)
        for word in filter(None, (part.strip() for part in text.split(separator))):
            try:
                mask |= cls[word.upper()]
            except KeyError:
                raise InvalidInputError(f"“{word}” is not one of {', '.join(m.key for m in cls)}.") from None
        return mask

    @property
    def certain(self) -> bool:
        """Whether exactly one kind is possible."""
        return self.value.bit_count() == 1

    @property
    def key(self) -> str:
        """The name of a single member as tables and forms write it."""
        return (self.name or "").lower()

    @property
    def keys(self) -> str:
        """The names of all that is possible, one blank between; ``from_keys`` reads it back."""
        return " ".join(member.key for member in self)

    @property
    def words(self) -> str:
        """What is possible, in words: "matte or bright tin", "a, b or c", "not known", "does not apply"."""
        return _words_of(type(self), self.value)

    def narrowed_by(self, other: Self) -> Self:
        """What both allow; InvalidInputError when nothing is left: the two statements contradict each other."""
        both = self & other
        if not both:
            raise InvalidInputError(f"“{self.words}” and “{other.words}” contradict each other.")
        return both


@lru_cache(maxsize=10_000)
def _words_of(kind: type[Possible], bits: int) -> str:
    """Kept, for a case writes the same few masks out thousands of times."""
    mask = kind(bits)
    if not mask:
        return "does not apply"
    if mask == kind.everything():
        return "not known"
    names = [kind.vocabulary()[member.value] for member in mask]
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


class Mounting(Possible):
    """How the part gets onto the board."""

    SMD = 1
    THROUGH_HOLE = 2
    PRESS_FIT = 4
    HAND = 8

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        return _MOUNTING

    @property
    def may_see_reflow(self) -> bool:
        """Whether the part may be on the board in the oven."""
        return bool(self & Mounting.SMD)


_MOUNTING = {1: "surface mount", 2: "through hole", 4: "press-fit", 8: "fitted by hand or plugged"}


class Finish(Possible):
    """Wetted terminal finish by J-STD-609 category."""

    E0 = 1
    E1 = 2
    E2 = 4
    E3 = 8
    E4 = 16
    E5 = 32
    E6 = 64
    E7 = 128
    E8 = 256
    E9 = 512

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        return _FINISH

    @property
    def may_hold_lead(self) -> bool:
        """Whether added lead is possible: e0, or e9, whose meaning is open."""
        return bool(self & (Finish.E0 | Finish.E9))

    @property
    def holds_lead(self) -> bool:
        """Whether only a finish with lead is possible."""
        return self == Finish.E0


_FINISH = {
    1: "contains lead (e0)",
    2: "tin-silver-copper, silver above 1.5 % (e1)",
    4: "other tin alloy without bismuth or zinc (e2)",
    8: "tin (e3)",
    16: "precious metal without tin (e4)",
    32: "tin-zinc (e5)",
    64: "contains bismuth (e6)",
    128: "low-temperature with indium (e7)",
    256: "tin-silver-copper, silver at most 1.5 % (e8)",
    512: "category e9, unassigned",
}
LEAD_FINISHES = Finish.E0 | Finish.E9
"""With lead, or of a category whose meaning is open."""
LEAD_FREE_FINISHES = Finish.everything() & ~LEAD_FINISHES


class BallAlloy(Possible):
    """Alloy of the balls or columns of an array package."""

    TIN_LEAD = 1
    SAC_HIGH_SILVER = 2
    SAC_LOW_SILVER = 4
    TIN_COPPER_OR_SILVER = 8
    TIN_BISMUTH = 16
    HIGH_LEAD = 32

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        return _BALLS

    @property
    def may_hold_lead(self) -> bool:
        """Whether lead is possible."""
        return bool(self & (BallAlloy.TIN_LEAD | BallAlloy.HIGH_LEAD))


_BALLS = {
    1: "tin-lead balls",
    2: "tin-silver-copper balls, silver above 1.5 %",
    4: "tin-silver-copper balls, silver at most 1.5 %",
    8: "tin-copper or tin-silver balls",
    16: "tin-bismuth balls",
    32: "high-lead balls or columns",
}
LEAD_BALLS = BallAlloy.TIN_LEAD | BallAlloy.HIGH_LEAD
LEAD_FREE_BALLS = BallAlloy.everything() & ~LEAD_BALLS


class BoardFinish(Possible):
    """Solderable finish of the bare board."""

    HASL_LEAD = 1
    HASL_LEAD_FREE = 2
    IMMERSION_SILVER = 4
    IMMERSION_TIN = 8
    ENIG = 16
    ENEPIG = 32
    HARD_GOLD = 64
    CARBON = 128
    OSP = 256

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        return _BOARD_FINISH

    @property
    def may_hold_lead(self) -> bool:
        """Whether lead is possible."""
        return bool(self & BoardFinish.HASL_LEAD)


_BOARD_FINISH = {
    1: "hot-air levelled, tin-lead",
    2: "hot-air levelled, lead-free",
    4: "immersion silver",
    8: "immersion tin",
    16: "electroless nickel, immersion gold",
    32: "electroless nickel and palladium, immersion gold",
    64: "hard gold",
    128: "carbon",
    256: "organic coating on copper (OSP)",
}


class Suits(Possible):
    """Whether a part suits a treatment; both: not known."""

    YES = 1
    NO = 2

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        return _SUITS


_SUITS = {1: "yes", 2: "no"}


class Msl(Possible):
    """Moisture sensitivity level of J-STD-020; a higher bit is more sensitive."""

    L1 = 1
    L2 = 2
    L2A = 4
    L3 = 8
    L4 = 16
    L5 = 32
    L5A = 64
    L6 = 128

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        return _MSL

    @property
    def level(self) -> str:
        """A single member as labels print it: "2a"."""
        return self.key.removeprefix("l")

    @property
    def worst(self) -> "Msl":
        """The most sensitive level possible; none for none."""
        return Msl(1 << (self.value.bit_length() - 1)) if self else self

    @property
    def best(self) -> "Msl":
        """The least sensitive level possible; none for none."""
        return Msl(self.value & -self.value)

    @classmethod
    def from_level(cls, text: str) -> "Msl":
        """ "3", "MSL 2A" -> the member; InvalidInputError for another word."""
        word = text.strip().upper().removeprefix("MSL").strip(" -:L")
        try:
            return cls[f"L{word}"]
        except KeyError:
            raise InvalidInputError("A moisture level is 1, 2, 2a, 3, 4, 5, 5a or 6.") from None


_MSL = {1: "MSL 1", 2: "MSL 2", 4: "MSL 2a", 8: "MSL 3", 16: "MSL 4", 32: "MSL 5", 64: "MSL 5a", 128: "MSL 6"}


class Joints(Possible):
    """Groups of solder joints of one part: here several bits mean several groups, not several possibilities."""

    CHIP_ENDS = 1
    LEADS = 2
    LANDS = 4
    BALLS = 8
    THERMAL_PAD = 16
    PINS = 32
    PEGS = 64

    @classmethod
    def vocabulary(cls) -> Mapping[int, str]:
        return _JOINTS

    @property
    def words(self) -> str:
        """All groups of the part: "leads and thermal pad"."""
        return " and ".join(_JOINTS[member.value] for member in self) or "no joints known"


_JOINTS = {
    1: "end caps",
    2: "leads",
    4: "lands under the body",
    8: "balls",
    16: "thermal pad",
    32: "through-hole pins",
    64: "pegs or shell tabs",
}
