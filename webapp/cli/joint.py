"""``joint``: what a joint becomes."""

from pathlib import Path
from typing import Annotated, Any, Literal

import msgspec
import typer

from webapp.cli.bom import content_of
from webapp.cli.output import NOT_USABLE, JsonOption, emit_json, reporting, table
from webapp.errors import InvalidInputError, UnreadableFileError
from webapp.science.melting import NotCovered
from webapp.science.mixing import BallJoint, Band, Deposit, MixedJoint, mixed_joint
from webapp.science.parameters import data_version
from webapp.trade.materials import tabulated

app = typer.Typer(no_args_is_help=True, help="Joints: mixing of ball and paste.")


class MixInput(msgspec.Struct, forbid_unknown_fields=True):
    """The JSON that ``joint mix`` reads."""

    ball_alloy: str
    ball_diameter_mm: float
    pad_package_mm: float
    pad_board_mm: float
    paste_alloy: str
    aperture_mm: float
    foil_mm: float
    peak_c: float
    aperture_shape: Literal["round", "square"] = "round"
    transfer_efficiency: float = 1.0
    metal_volume_share: float = 0.5
    height_factor: float = 1.0

    def joint(self) -> BallJoint:
        """The joint described; raises :class:`InvalidInputError` naming the field."""
        return BallJoint(
            ball=tabulated().composition(self.ball_alloy, field="ball_alloy"),
            ball_diameter_mm=self.ball_diameter_mm,
            pad_package_mm=self.pad_package_mm,
            pad_board_mm=self.pad_board_mm,
            paste=tabulated().composition(self.paste_alloy, field="paste_alloy"),
            deposit=Deposit(
                self.aperture_mm,
                self.foil_mm,
                self.aperture_shape,
                self.transfer_efficiency,
                self.metal_volume_share,
            ),
            peak_c=self.peak_c,
            height_factor=self.height_factor,
        )


@app.callback()
def main() -> None:
    """Joints."""


@app.command("mix")
def mix(
    file: Annotated[Path, typer.Argument(metavar="INPUT.json")],
    as_json: JsonOption = False,
) -> None:
    """What a ball on a paste deposit becomes at the peak. Exit 3 when the alloys are not covered."""
    with reporting(as_json=as_json):
        joint = _read(content_of(file), file.name).joint()
        result = mixed_joint(joint)
    emit = _document(joint, result)
    if as_json:
        emit_json(emit)
    else:
        typer.echo(_text(result))
    if isinstance(result.mixing, NotCovered):
        typer.echo(result.mixing.reason, err=True)
        raise typer.Exit(NOT_USABLE)


def _read(content: bytes, name: str) -> MixInput:
    try:
        return msgspec.json.decode(content, type=MixInput)
    except msgspec.ValidationError as error:
        message, _, place = str(error).partition(" - at `$.")
        raise InvalidInputError(f"{name}: {message}.", field=place.rstrip("`") or None) from error
    except msgspec.DecodeError as error:
        raise UnreadableFileError(f"{name} is not JSON: {error}.", field="file") from error


def _document(joint: BallJoint, result: MixedJoint) -> dict[str, Any]:
    geometry = {
        "composition_wt_pct": result.composition.wt_pct,
        "standoff_collapsed_mm": result.standoff_collapsed_mm,
        "standoff_unmelted_mm": result.standoff_unmelted_mm,
        "paste_metal_mm3": joint.deposit.metal_mm3,
        "ball_mm3": joint.ball_mm3,
        "area_ratio": joint.deposit.area_ratio,
    }
    mixing = result.mixing
    if isinstance(mixing, NotCovered):
        nothing = ("full_melt_c", "liquid_fraction_at_peak", "dissolved_ball_share_bound", "scheil_liquid_fraction")
        melting: dict[str, Any] = {"valid": False, "reason": mixing.reason, **dict.fromkeys(nothing)}
    else:
        melting = {
            "valid": True,
            "reason": None,
            "solidus_c": mixing.whole.solidus_c,
            "liquidus_c": mixing.whole.liquidus_c,
            "full_melt_c": mixing.full_melt_c,
            "melts_through": mixing.melts_through,
            "liquid_fraction_at_peak": mixing.liquid_at_peak,
            "dissolved_ball_share_bound": mixing.dissolved_ball_bound,
            "dissolved_ball_share": mixing.dissolved_ball,
            "dissolved_paste_share": mixing.dissolved_paste,
            "band": _band(mixing.band),
            "scheil_liquid_fraction": _by_exposure(mixing.left_at),
        }
    return {**geometry, **melting, "data_version": data_version()}


def _band(band: Band | None) -> dict[str, Any] | None:
    if band is None:
        return None
    return {
        "composition_wt_pct": band.composition.wt_pct,
        "height_share": band.height_share,
        "solidus_c": band.melting.solidus_c,
        "matrix_liquidus_c": band.melting.matrix_liquidus_c,
        "scheil_liquid_fraction": _by_exposure(band.left_at),
    }


def _by_exposure(left_at: Any) -> dict[str, float]:
    return {f"{t_c:g}": share for t_c, share in left_at.items()}


def _text(result: MixedJoint) -> str:
    rows = [
        ("whole joint", result.composition.text),
        ("stand-off, ball molten", f"{result.standoff_collapsed_mm:.3f} mm"),
        ("stand-off, ball unmelted", f"{result.standoff_unmelted_mm:.3f} mm"),
    ]
    mixing = result.mixing
    if not isinstance(mixing, NotCovered):
        rows += [
            ("melts through at", f"{mixing.full_melt_c:.1f} °C"),
            ("share of the ball dissolved", f"{100 * mixing.dissolved_ball:.1f} %"),
            ("  at least", f"{100 * mixing.dissolved_ball_bound:.1f} %"),
        ]
        if mixing.band is not None:
            rows += [
                ("mixed band", mixing.band.composition.text),
                ("its share of the height", f"{100 * mixing.band.height_share:.0f} %"),
                *(
                    (f"  liquid again at {t_c:g} °C", f"{100 * share:.1f} %")
                    for t_c, share in mixing.band.left_at.items()
                ),
            ]
    return table(("joint", ""), rows)
