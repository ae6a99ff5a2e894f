"""``melt``: the melting of an alloy, the diagram of a pair, the invariants."""

from dataclasses import dataclass
from typing import Annotated, Any

import typer

from webapp.cli.output import NOT_USABLE, JsonOption, emit_json, reporting, table
from webapp.errors import InvalidInputError
from webapp.science.diagrams import BinaryDiagram, Invariant, binary, invariants
from webapp.science.melting import (
    Freezing,
    MeltingRange,
    NotCovered,
    PhaseFractions,
    freezing,
    melting_curve,
    melting_range,
)
from webapp.science.parameters import data_version
from webapp.trade.alloys import find_alloy
from webapp.trade.composition import Composition
from webapp.trade.elements import ELEMENTS, MELTING_SOURCE
from webapp.trade.materials import tabulated
from webapp.trade.ranges import degrees_text
from webapp.trade.sources import Source


def melt(
    composition: Annotated[
        str, typer.Argument(help='In wt%: "Sn42Bi57Ag1", "42Sn-57Bi-1Ag", "Sn-57Bi-1Ag", "SAC305".')
    ] = "",
    pair: Annotated[
        tuple[str, str] | None, typer.Option("--binary", metavar="FIRST SECOND", help="The diagram of two metals.")
    ] = None,
    show_invariants: Annotated[
        bool, typer.Option("--invariants", help="The eutectics of the systems covered.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Calculate the melting of COMPOSITION. Exit 3 when the thermodynamic data do not cover it."""
    with reporting(as_json=as_json):
        if (bool(composition), pair is not None, show_invariants).count(True) != 1:
            raise InvalidInputError("Give a composition, or --binary with two metals, or --invariants.")
        if show_invariants:
            _show_invariants(as_json=as_json)
        elif pair is not None:
            _show_binary(*pair, as_json=as_json)
        else:
            _show_alloy(tabulated().composition(composition), as_json=as_json)


def _show_alloy(alloy: Composition, *, as_json: bool) -> None:
    span, curve, way = melting_range(alloy), melting_curve(alloy), freezing(alloy)
    if isinstance(span, NotCovered) or isinstance(curve, NotCovered) or isinstance(way, NotCovered):
        refusal = next(one for one in (span, curve, way) if isinstance(one, NotCovered))
        _refuse(refusal.reason, alloy, as_json=as_json)
    elif as_json:
        emit_json(_document(alloy, span, curve, way))
    else:
        typer.echo(_text(span, way))


def _document(alloy: Composition, span: MeltingRange, curve: PhaseFractions, way: Freezing) -> dict[str, Any]:
    return {
        "composition_wt_pct": alloy.wt_pct,
        "valid": True,
        "reason": None,
        "solidus_c": span.solidus_c,
        "liquidus_c": span.liquidus_c,
        "matrix_liquidus_c": span.matrix_liquidus_c,
        "liquid_99_pct_c": span.mostly_liquid_c,
        "first_solid": span.first_solid,
        "solids": list(span.solids),
        "liquid_fraction": [list(point) for point in zip(curve.t_c, curve.liquid, strict=True)],
        "scheil_onset_c": way.end_c,
        **{f"scheil_liquid_fraction_{t_c:g}c": share for t_c, share in way.left_at.items()},
        "density_g_cm3": alloy.density_g_cm3,
        "data_version": data_version(),
    }


def _text(span: MeltingRange, way: Freezing) -> str:
    rows = [
        ("melting begins (solidus)", f"{span.solidus_c:.1f} °C"),
        ("99 % of the mass liquid", f"{span.mostly_liquid_c:.1f} °C"),
        (f"last of the matrix gone, {span.matrix_solid}", f"{span.matrix_gone_c:.1f} °C"),
        (f"last solid gone, {span.first_solid}", f"{span.liquidus_c:.1f} °C"),
        ("melting begins as soldered (Scheil)", f"{way.end_c:.1f} °C"),
        *((f"liquid at {t_c:g} °C as soldered", f"{100 * share:.1f} %") for t_c, share in way.left_at.items()),
    ]
    text = table((span.composition.text, ""), rows)
    if span.first_solid == span.matrix_solid or span.matrix_liquidus_c > span.solidus_c:
        return text
    return (
        f"{text}\nThe matrix melts whole where melting begins; from there to {span.liquidus_c:.1f} °C only "
        f"{span.first_solid} is solid."
    )


@dataclass(frozen=True, slots=True)
class _Listed:
    """What a list or handbook says of an alloy or metal that is not calculated."""

    solidus_c: float
    liquidus_c: float
    source: Source

    @property
    def text(self) -> str:
        """ "Listed: solidus 235 °C, liquidus 240 °C; J-STD-006 (read in a document)."."""
        melting = f"solidus {degrees_text(self.solidus_c)} °C, liquidus {degrees_text(self.liquidus_c)} °C"
        if self.solidus_c == self.liquidus_c:
            melting = f"melts at {degrees_text(self.solidus_c)} °C"
        return f"Listed: {melting}; {self.source.words}."


def _listed(alloy: Composition) -> _Listed | None:
    listed = find_alloy(alloy.wt_pct)
    if listed is not None:
        return _Listed(listed.solidus_c, listed.liquidus_c, listed.solidus_source)
    if len(alloy.shares) > 1:
        return None
    melting_c = ELEMENTS[alloy.shares[0][0]].melting_c
    return _Listed(melting_c, melting_c, MELTING_SOURCE)


def _tabulated(listed: _Listed | None) -> dict[str, Any]:
    """The same as JSON, marked as that."""
    if listed is None:
        return {"tabulated": None}
    return {
        "tabulated": {
            "solidus_c": listed.solidus_c,
            "liquidus_c": listed.liquidus_c,
            "source": listed.source.reference,
            "status": listed.source.status,
        }
    }


def _refuse(reason: str, alloy: Composition, *, as_json: bool) -> None:
    listed = _listed(alloy)
    if as_json:
        nothing = ("solidus_c", "liquidus_c", "matrix_liquidus_c", "first_solid", "liquid_fraction")
        emit_json(
            {
                "composition_wt_pct": alloy.wt_pct,
                **_tabulated(listed),
                "valid": False,
                "reason": reason,
                **dict.fromkeys(nothing),
                "scheil_liquid_fraction_140c": None,
                "data_version": data_version(),
            }
        )
    elif listed is not None:
        typer.echo(listed.text)
    typer.echo(reason, err=True)
    raise typer.Exit(NOT_USABLE)


def _show_binary(first: str, second: str, *, as_json: bool) -> None:
    diagram = binary(first, second)
    if isinstance(diagram, NotCovered):
        if as_json:
            emit_json({"valid": False, "reason": diagram.reason, "liquidus": None, "solidus": None, "eutectic": None})
        typer.echo(diagram.reason, err=True)
        raise typer.Exit(NOT_USABLE)
    if as_json:
        emit_json(_binary_document(diagram))
        return
    rows = [
        (f"{share:.1f}", f"{low_c:.1f}", f"{high_c:.1f}")
        for (share, high_c), (_, low_c) in zip(diagram.liquidus, diagram.solidus, strict=True)
    ]
    typer.echo(table((f"wt% {second}", "solidus °C", "liquidus °C"), rows))


def _binary_document(diagram: BinaryDiagram) -> dict[str, Any]:
    eutectic = diagram.eutectic
    return {
        "valid": True,
        "liquidus": [list(point) for point in diagram.liquidus],
        "solidus": [list(point) for point in diagram.solidus],
        "eutectic": None if eutectic is None else _invariant(eutectic),
        "data_version": data_version(),
    }


def _show_invariants(*, as_json: bool) -> None:
    if as_json:
        emit_json([_invariant(one) for one in invariants()])
        return
    rows = [
        (
            "-".join(one.system),
            f"{one.t_c:.2f}",
            ", ".join(f"{symbol} {share:.2f}" for symbol, share in one.liquid_wt_pct.items()),
            ", ".join(one.solids),
        )
        for one in invariants()
    ]
    typer.echo(table(("system", "°C", "liquid, wt%", "solids"), rows))


def _invariant(one: Invariant) -> dict[str, Any]:
    return {
        "system": "-".join(one.system),
        "t_c": one.t_c,
        "liquid_wt_pct": one.liquid_wt_pct,
        "solids": list(one.solids),
    }
