"""A ball joint as people type it: the values of "what would it be if"."""

from collections.abc import Mapping
from dataclasses import dataclass

from webapp.desk.typed import typed_number, typed_temperature
from webapp.errors import InvalidInputError
from webapp.science.mixing import BallJoint, Deposit, Shape
from webapp.trade.composition import Composition
from webapp.trade.materials import Materials
from webapp.trade.ranges import Span, degrees_text, number_text

PEAKS_C = Span(100, 320)
SHAPES: dict[Shape, str] = {"round": "round", "square": "square"}


@dataclass(frozen=True, slots=True)
class NumberField:
    """A number of the form: its label and unit, what makes sense, and what is typed for one of science's unit."""

    name: str
    label: str
    unit: str
    plausible: Span
    hint: str = ""
    scale: float = 1.0


NUMBERS = (
    NumberField("ball_mm", "Ball diameter", "mm", Span(0.05, 2), "Before reflow; or with a unit: 450 µm, 18 mil."),
    NumberField("package_pad_mm", "Pad of the package", "mm", Span(0.02, 2), "Diameter that solder wets."),
    NumberField("board_pad_mm", "Pad of the board", "mm", Span(0.02, 2), "Diameter that solder wets."),
    NumberField("opening_mm", "Stencil opening", "mm", Span(0.03, 3), "Diameter, or side of a square."),
    NumberField("foil_mm", "Stencil foil", "mm", Span(0.02, 0.5), "Or with a unit: 120 µm, 5 mil."),
    NumberField("transfer_pct", "Transfer efficiency", "%", Span(5, 150), "Printed over the opening's volume.", 100),
    NumberField("metal_pct", "Metal in the paste", "%", Span(10, 100), "By volume.", 100),
)
ALLOYS = {"ball": "Alloy of the ball", "paste": "Alloy of the paste"}
FIELDS = ("ball", "paste", "peak_c", "shape", *(field.name for field in NUMBERS))
LONGEST = 100
"""Characters of one value that are taken from an address."""


def written(joint: BallJoint, materials: Materials) -> dict[str, str]:
    """A joint as the form shows it, alloys by their designation where the site has one."""
    values = _numbers(joint)
    texts = {
        field.name: number_text(round(field.scale * values[field.name], 1 if field.unit == "%" else 4))
        for field in NUMBERS
    }
    return {
        "ball": _alloy_text(joint.ball, materials),
        "paste": _alloy_text(joint.paste, materials),
        "peak_c": degrees_text(joint.peak_c),
        "shape": joint.deposit.shape,
        **texts,
    }


def read(typed: Mapping[str, str], now: BallJoint, materials: Materials) -> tuple[BallJoint | None, dict[str, str]]:
    """The joint as typed; what is left open, or stands as :func:`written` shows it, is as it is ``now``.

    None, with a sentence for every field that does not hold, where any does not.
    """
    shown, reader = written(now, materials), _Reader(materials)
    values: dict[str, float] = {}
    for field in NUMBERS:
        text = typed.get(field.name, "").strip()
        is_new = bool(text) and text != shown[field.name]
        values[field.name] = reader.number(text, field) if is_new else _numbers(now)[field.name]
    texts = {name: typed.get(name, "").strip() or shown[name] for name in ("ball", "paste", "peak_c", "shape")}
    ball = now.ball if texts["ball"] == shown["ball"] else reader.alloy(texts["ball"], "ball", now.ball)
    paste = now.paste if texts["paste"] == shown["paste"] else reader.alloy(texts["paste"], "paste", now.paste)
    peak_c = now.peak_c if texts["peak_c"] == shown["peak_c"] else reader.peak(texts["peak_c"])
    shape = reader.shape(texts["shape"])
    if reader.errors:
        return None, reader.errors
    deposit = Deposit(values["opening_mm"], values["foil_mm"], shape, values["transfer_pct"], values["metal_pct"])
    joint = BallJoint(
        ball=ball,
        ball_diameter_mm=values["ball_mm"],
        pad_package_mm=values["package_pad_mm"],
        pad_board_mm=values["board_pad_mm"],
        paste=paste,
        deposit=deposit,
        peak_c=peak_c,
        height_factor=now.height_factor,
    )
    return joint, {}


def _numbers(joint: BallJoint) -> dict[str, float]:
    return {
        "ball_mm": joint.ball_diameter_mm,
        "package_pad_mm": joint.pad_package_mm,
        "board_pad_mm": joint.pad_board_mm,
        "opening_mm": joint.deposit.aperture_mm,
        "foil_mm": joint.deposit.foil_mm,
        "transfer_pct": joint.deposit.transfer_efficiency,
        "metal_pct": joint.deposit.metal_volume_share,
    }


def _alloy_text(composition: Composition, materials: Materials) -> str:
    for designation, alloy in materials.alloys.items():
        if Composition.of(alloy.composition_wt_pct) == composition:
            return designation
    return composition.text


class _Reader:
    """Reads field by field and keeps what does not hold."""

    def __init__(self, materials: Materials) -> None:
        self.errors: dict[str, str] = {}
        self._materials = materials

    def number(self, text: str, field: NumberField) -> float:
        """A number in the unit of science."""
        try:
            return typed_number(text, field.plausible, field=field.name, unit=field.unit) / field.scale
        except InvalidInputError as error:
            self.errors[field.name] = error.message
            return 1.0

    def alloy(self, text: str, name: str, otherwise: Composition) -> Composition:
        """A designation of the site, a short name or a composition."""
        try:
            return self._materials.composition(text, field=name)
        except InvalidInputError as error:
            self.errors[name] = error.message
            return otherwise

    def peak(self, text: str) -> float:
        """A temperature in °C or °F."""
        try:
            return typed_temperature(text, PEAKS_C, field="peak_c")
        except InvalidInputError as error:
            self.errors["peak_c"] = error.message
            return PEAKS_C.low

    def shape(self, text: str) -> Shape:
        """Round or square."""
        for shape in SHAPES:
            if text == shape:
                return shape
        self.errors["shape"] = "The opening is round or square."
        return "round"
