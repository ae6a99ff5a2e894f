"""What a part may be, judged from the texts of its line: package, description, value, part number, designator.

Nothing is presented as known that the texts do not say: several classes stay possible, sizes stay ranges.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import lru_cache, reduce
from operator import or_

from webapp.trade.chips import UNSURE, SizeSystem
from webapp.trade.class_bounds import bounds_of, classes_mounted
from webapp.trade.classes import PartClass
from webapp.trade.finish_words import NOTHING_SAID, FinishSaid, finish_said
from webapp.trade.masks import Joints, Mounting
from webapp.trade.package_sizes import with_pitch_in
from webapp.trade.package_tables import MOULDED, Outline, ball_diameter_mm, inch_chips
from webapp.trade.packages import outline_in_package, outline_in_part_number, outline_in_words, outline_of_coil
from webapp.trade.part_cells import cell_mounting, cell_type_in
from webapp.trade.part_evidence import CONNECTORS, PartTexts, coaxial, kind_of
from webapp.trade.part_narrowing import CANS, of_capacitor, sized, typical
from webapp.trade.part_numbers import capacitance_uf, kind_in_number
from webapp.trade.part_plastics import Plastic, plastic_in
from webapp.trade.part_power import Power, power_in
from webapp.trade.part_words import Kind, kind_hits, kind_of_prefix, kinds, mounting_of
from webapp.trade.ranges import NOT_NEGATIVE, Span
from webapp.trade.sources import FROM_CLASS, FROM_PACKAGE, Source

_CACHED_PARTS = 50_000
_UNKNOWN = PartClass.UNKNOWN_SMD | PartClass.UNKNOWN_LEADED
_CIRCUITS = PartClass.LEADED_IC | PartClass.NO_LEAD_IC | PartClass.ARRAY
_MANY_TERMINALS = 8
_KNOWN = PartClass.everything() & ~_UNKNOWN


@dataclass(frozen=True, slots=True)
class PartGuess:
    """What a part may be. ``classes``: all that is possible, one when certain; ``why``: the words that decided.

    Lengths in mm over the body, mass in g; ``terminals`` counts joints; ``package``: the outline as named, or "".
    ``said``: what the words tell of terminals and balls; ``power``: whether the part carries any; ``plastic``: what its
    body or film is made of.
    """

    classes: PartClass
    why: str
    mounting: Mounting
    joints: Joints
    source: Source = FROM_CLASS
    package: str = ""
    length_mm: Span = NOT_NEGATIVE
    width_mm: Span = NOT_NEGATIVE
    height_mm: Span = NOT_NEGATIVE
    pitch_mm: Span = NOT_NEGATIVE
    terminals: Span = NOT_NEGATIVE
    ball_diameter_mm: Span = NOT_NEGATIVE
    mass_g: Span = NOT_NEGATIVE
    said: FinishSaid = NOTHING_SAID
    power: Power = Power.NOT_TOLD
    plastic: Plastic | None = None

    @property
    def sizes(self) -> dict[str, Span]:
        """The sizes that something is known of, by field name."""
        named = {name: getattr(self, name) for name in _SIZES}
        return {name: span for name, span in named.items() if span != NOT_NEGATIVE}


_SIZES = ("length_mm", "width_mm", "height_mm", "pitch_mm", "terminals", "ball_diameter_mm", "mass_g")


def guess_part(texts: PartTexts, system: SizeSystem | None = None) -> PartGuess:
    """What the part of a line may be; ``system``: the system of the list's chip codes, see ``size_system_of``."""
    if texts.mpn and not _tells(texts.mpn):
        texts = replace(texts, mpn="")  # a number that tells nothing would only keep equal lines apart
    return judged(texts, system)


def _tells(mpn: str) -> bool:
    """Whether a part number says anything of the part."""
    return bool(outline_in_part_number(mpn) or kind_in_number(mpn) or cell_type_in(mpn, for_cell=True))


@lru_cache(maxsize=_CACHED_PARTS)
def judged(texts: PartTexts, system: SizeSystem | None) -> PartGuess:
    """The same, found out once for parts of which a list says the same."""
    kind, outline, why = _kind_and_outline(texts, system)
    mounting, mounting_said = _mounting(texts, outline)
    if kind is not None and kind.classes == PartClass.CELL and mounting == Mounting.everything():
        mounting, mounting_said = cell_mounting(f"{texts.package} {texts.description} {texts.value}")
    if kind is not None and kind.key == "through_connector" and mounting == Mounting.SMD:
        kind = kinds()["connector"]
    if kind is None and (outline is None or not _tells_class(outline)):
        classes = _UNKNOWN
    else:
        classes = _known_classes(kind, outline, texts)
    # Pressed in, a connector is no longer one that is soldered, whatever noun the line calls it by.
    pressed = mounting == Mounting.PRESS_FIT and bool(classes & CONNECTORS)
    mounted = (PartClass.PRESS_FIT if pressed else classes) & classes_mounted(mounting)
    if mounted and mounted != classes:
        classes = mounted
        why += [f"“{mounting_said}”"] if mounting_said else []
    if outline is not None:
        why.append(f"package “{outline.words}”" if outline.whole else f"size “{outline.words}”")
    return _with_words(texts, classes, why, mounting, outline)


def _kind_and_outline(texts: PartTexts, system: SizeSystem | None) -> tuple[Kind | None, Outline | None, list[str]]:
    """The kind and the outline that go together, and the words that decided; of two that do not, one is given up."""
    outline = _outline(texts, system)
    kind, why = kind_of(texts, outline)
    if kind is None and outline is not None and (kind := coaxial(texts, outline)) is not None:
        return kind, None, [f"“{outline.words}”", *([f"designator {texts.prefix}"] if texts.prefix else [])]
    if kind is None or outline is None:
        return kind, outline, why
    outline = of_capacitor(outline, kind)
    if kind.classes & outline.classes:
        return kind, outline, why
    return (None, outline, []) if _is_circuit(outline) else (kind, None, why)


def _with_words(
    texts: PartTexts, classes: PartClass, why: list[str], mounting: Mounting, outline: Outline | None
) -> PartGuess:
    """The guess, with what the words tell of plastic, terminals and power."""
    words = ", ".join(filter(None, (texts.package, texts.description, texts.value)))
    plastic = plastic_in(words, classes)
    if plastic is not None and plastic.for_reflow and classes & PartClass.CONNECTOR:
        classes = classes & ~PartClass.CONNECTOR | PartClass.CONNECTOR_HOT
        why.append(f"made of {plastic.name}")
    guess = _guess(classes, "; ".join(why) or "nothing in the line tells what it is", mounting, outline)
    said = finish_said(words, has_balls=classes == PartClass.ARRAY)
    power = power_in(words, outline, classes, is_transistor=_is_transistor(texts.prefix))
    return replace(guess, said=said, power=power, plastic=plastic)


def _is_transistor(prefix: str) -> bool:
    kind = kind_of_prefix(prefix) if prefix else None
    return kind is not None and kind.key == "transistor"


def _is_circuit(outline: Outline) -> bool:
    """Whether only integrated circuits come in it: then "LED driver" or "Ethernet switch" is a circuit's job."""
    return bool(outline.typical) and not outline.typical & ~_CIRCUITS and outline.terminals.low >= _MANY_TERMINALS


def _tells_class(outline: Outline) -> bool:
    """Whether the outline says more than a size."""
    return outline.typical != PartClass.everything()


def _known_classes(kind: Kind | None, outline: Outline | None, texts: PartTexts) -> PartClass:
    classes = _KNOWN if kind is None else kind.classes
    if outline is not None:
        classes = typical(classes & outline.classes, outline)
    if kind is not None and kind.key == "circuit" and outline is not None:
        classes = classes & ~PartClass.SMALL_SEMI or classes  # the letter U means a circuit where the package allows it
    if kind is not None and kind.key == "capacitor":
        classes = _of_capacitance(classes, kind.classes if outline is None else outline.classes, texts)
    if outline is not None:
        classes = sized(classes, outline)
    if not (kind is not None and kind.key in _POLYMERS) and not (outline is not None and outline.classes == MOULDED):
        classes = classes & ~PartClass.CAN_POLYMER or classes
    return classes


_POLYMERS = frozenset({"polymer", "any_polymer", "solid_electrolytic"})
_LEAST_ELECTROLYTIC_UF = 0.1
_LEAST_SUPERCAP_UF = 1e4
_LARGE_CHIP_UF = 100.0
_ELECTROLYTICS = PartClass.from_keys("tantalum can_small can_8x10 can_10 can_large can_polymer can_leaded")


def _of_capacitance(classes: PartClass, possible: PartClass, texts: PartTexts) -> PartClass:
    """Kinds of capacitors made with this capacitance; chips of 100 µF and more are tantalum as well as ceramic."""
    capacitance = capacitance_uf(texts.value)
    if capacitance is None:
        return classes
    if capacitance < _LEAST_SUPERCAP_UF:
        classes = classes & ~PartClass.SUPERCAP or classes
    if capacitance < _LEAST_ELECTROLYTIC_UF:
        classes = classes & ~_ELECTROLYTICS or classes
    if capacitance >= _LARGE_CHIP_UF:
        classes |= PartClass.TANTALUM & possible
    return classes


# ---- outline and mounting --------------------------------------------------------------------------------------


def _outline(texts: PartTexts, system: SizeSystem | None) -> Outline | None:
    """The first outline that tells a class, else the first that tells a size."""
    sized = None
    for outline in _outlines(texts, system):
        if _tells_class(outline):
            return outline
        sized = sized or outline
    return sized


def _outlines(texts: PartTexts, system: SizeSystem | None) -> Iterator[Outline]:
    found = outline_in_package(texts.package, system) if texts.package else None
    if found is not None and found.whole:
        yield with_pitch_in(f"{texts.description} {texts.value}".upper(), found)
    if (coil := _coil(texts)) is not None:
        yield coil
    in_words = outline_in_words(texts.description, system) if texts.description else None
    if found is not None:
        yield _chips_agreed(found, in_words)
    if in_words is not None:
        yield in_words
    if texts.value and (found := outline_in_words(texts.value, system)) is not None:
        yield found
    prefix = kind_of_prefix(texts.prefix) if texts.prefix else None
    if prefix is not None and prefix.classes & _TWO_ENDED and texts.mpn:
        found = outline_in_part_number(texts.mpn, system)
        if found is not None:
            yield found


def _coil(texts: PartTexts) -> Outline | None:
    """The outline of a flat coil, where the words of the line say it is one and none that it has wires."""
    said = f"{texts.package} {texts.description}"
    if mounting_of(said)[0] & Mounting.THROUGH_HOLE:
        return None
    is_coil = any(hit.kind.classes & PartClass.POWER_INDUCTOR for hit in kind_hits(said))
    return outline_of_coil(said) if is_coil else None


def _chips_agreed(package: Outline, words: Outline | None) -> Outline:
    """The package; where it and the description name chip sizes, the surer one, or both where they differ."""
    chips = inch_chips()
    if words is None or package.name.removesuffix(UNSURE) not in chips or words.name not in chips:
        return package
    if words.name in (package.name, package.words):
        return words
    return replace(
        package,
        name=f"{package.name} or {words.name}",
        length_mm=package.length_mm.union(words.length_mm),
        width_mm=package.width_mm.union(words.width_mm),
        height_mm=package.height_mm.union(words.height_mm),
    )


_TWO_ENDED = PartClass.from_keys("chip_resistor chip_capacitor chip_inductor chip_protection")


def _mounting(texts: PartTexts, outline: Outline | None) -> tuple[Mounting, str]:
    if outline is not None and outline.mounting != Mounting.everything():
        return outline.mounting, ""
    said_in = [mounting_of(text) for text in (texts.package, texts.description, texts.value)]
    ways = reduce(or_, (mounting for mounting, _ in said_in))
    if ways & Mounting.PRESS_FIT and not ways & Mounting.SMD:  # pressed into holes: both may be said of the same pins
        return Mounting.PRESS_FIT, next(said for mounting, said in said_in if mounting & Mounting.PRESS_FIT)
    if (through := _THROUGH_HOLE.search(texts.package)) is not None:
        return Mounting.THROUGH_HOLE, through[0].strip("-_ ")
    return next(((mounting, said) for mounting, said in said_in if mounting), (Mounting.everything(), ""))


_THROUGH_HOLE = re.compile(r"(?:^|[-_ ])TH(?=[-_ ]|$)")


# ---- the guess -------------------------------------------------------------------------------------------------

_DENSITY_G_CM3 = Span(1.2, 4.5)
"""Between a moulded body of little metal and one mostly of copper or ceramic."""
_CHIP_DENSITY_G_CM3 = Span(2.5, 6.5)
_CAN_DENSITY_G_CM3 = Span(1.0, 2.0)


def _guess(classes: PartClass, why: str, mounting: Mounting, outline: Outline | None) -> PartGuess:
    bounds = bounds_of(classes)
    mounting = mounting & bounds.mounting or _unusual(mounting, classes) or bounds.mounting
    if outline is None:
        return PartGuess(classes, why, mounting, bounds.joints)
    joints = outline.joints or bounds.joints
    return PartGuess(
        classes,
        why,
        mounting,
        joints,
        FROM_PACKAGE,
        outline.name,
        outline.length_mm,
        outline.width_mm,
        outline.height_mm,
        outline.pitch_mm,
        outline.terminals,
        ball_diameter_mm(outline.pitch_mm) if joints & Joints.BALLS else NOT_NEGATIVE,
        _mass_g(outline),
    )


def _unusual(mounting: Mounting, classes: PartClass) -> Mounting:
    """What the line says of the mounting where the class is not usually so mounted; what is not soldered is not."""
    said = mounting != Mounting.everything() and not classes & PartClass.NOT_SOLDERED
    return mounting if said else Mounting(0)


def _mass_g(outline: Outline) -> Span:
    """Mass of the body by its volume and the densities bodies of its kind have."""
    sides = (outline.length_mm, outline.width_mm, outline.height_mm)
    if not all(side.bounded for side in sides):
        return NOT_NEGATIVE
    volume_mm3 = sides[0].times(sides[1]).times(sides[2])
    density = _DENSITY_G_CM3
    if outline.joints == Joints.CHIP_ENDS:
        density = _CHIP_DENSITY_G_CM3
    elif outline.classes & CANS:
        density = _CAN_DENSITY_G_CM3
    return volume_mm3.times(density).scaled(1e-3)
