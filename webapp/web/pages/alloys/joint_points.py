"""The hybrid joints of a product as they stand on the tin-bismuth diagram."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlmodel import Session

from webapp.desk.joints import HybridPoint, hybrids_of
from webapp.science.melting import MeltingRange, melting_ranges
from webapp.store.product_reads import product_by_code
from webapp.trade.composition import Composition
from webapp.web.pages.alloys.drawing import JointSpot
from webapp.web.pages.products import product_address
from webapp.web.paging import UnknownViewError
from webapp.web.product_tabs import joint_address

MOST = 12
_CLOSE_WT_PCT, _CLOSE_K = 6.0, 20.0


@dataclass(frozen=True, slots=True)
class OnDiagram:
    """A joint: the whole of it and its band, wt% of bismuth among tin and bismuth, and where the matrix of each goes,
    °C. ``apart``: wt% of other elements in the whole; None where it holds no tin and bismuth or is not calculated."""

    point: HybridPoint
    address: str
    whole_bi: float | None
    whole_c: float | None
    band_bi: float | None
    band_c: float | None
    apart: float


@dataclass(frozen=True, slots=True)
class Joints:
    """The joints of a product, at most twelve of ``total``."""

    code: str
    address: str
    shown: tuple[OnDiagram, ...]
    total: int

    @property
    def spots(self) -> list[JointSpot]:
        """The points to draw: wholes by the name of their part, bands by what they are; of those close together the
        first stands for all."""
        wholes = [(one.whole_bi, one.whole_c, one.point.label) for one in self.shown]
        bands = [(one.band_bi, one.band_c, "mixed band") for one in self.shown]
        return [*_named(wholes, is_band=False), *_named(bands, is_band=True)]


def joints_of_product(session: Session, code: str) -> Joints:
    """The joints of the product of that code; UnknownViewError when there is none."""
    product = product_by_code(session, code)
    if product is None or product.id is None:
        raise UnknownViewError(f'There is no product "{code[:40]}" to show the joints of.')
    points = hybrids_of(session, product.id)
    some, address = points[:MOST], product_address(product.code)
    compositions = [whole for one in some for whole in (one.whole, one.band or one.whole)]
    melting = [one.matrix_gone_c if isinstance(one, MeltingRange) else None for one in melting_ranges(compositions)]
    shown = tuple(
        _on_diagram(one, joint_address(address, one.part_id, one.case, one.step), whole_c, band_c)
        for one, whole_c, band_c in zip(some, melting[::2], melting[1::2], strict=True)
    )
    return Joints(product.code, address, shown, len(points))


def _on_diagram(point: HybridPoint, address: str, whole_c: float | None, band_c: float | None) -> OnDiagram:
    band = point.band
    return OnDiagram(
        point,
        address,
        bismuth_share(point.whole),
        whole_c,
        bismuth_share(band) if band else None,
        band_c if band else None,
        100 - point.whole.wt_pct.get("Sn", 0.0) - point.whole.wt_pct.get("Bi", 0.0),
    )


def _named(points: Sequence[tuple[float | None, float | None, str]], *, is_band: bool) -> Iterator[JointSpot]:
    """The points that are known; of a group of close ones that with the most bismuth has the name of all."""
    known = sorted((bi, t_c, name) for bi, t_c, name in points if bi is not None and t_c is not None)
    groups: list[list[tuple[float, float, str]]] = []
    for point in known:
        if groups and point[0] - groups[-1][0][0] < _CLOSE_WT_PCT and abs(point[1] - groups[-1][0][1]) < _CLOSE_K:
            groups[-1].append(point)
        else:
            groups.append([point])
    for *others, (bi, t_c, name) in groups:
        # Of one name all are alike: the same part at two steps, or bands.
        more = len({other for *_, other in others} - {name})
        yield JointSpot(f"{name} +{more}" if more else name, bi, t_c, is_band)
        yield from (JointSpot("", other_bi, other_c, is_band) for other_bi, other_c, _ in others)


def bismuth_share(composition: Composition) -> float | None:
    """wt% of bismuth among tin and bismuth; None where there is neither."""
    shares = composition.wt_pct
    held = shares.get("Sn", 0.0) + shares.get("Bi", 0.0)
    return 100 * shares.get("Bi", 0.0) / held if held else None
