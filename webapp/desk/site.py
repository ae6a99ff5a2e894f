"""What a site solders with and decides by: the tables with the site's own alloys, pastes and figures beside them."""

from dataclasses import replace

from sqlmodel import Session

from webapp.store.site import SiteAlloyRow, SiteFigureRow, SitePasteRow, current_rows
from webapp.trade.alloys import Alloy
from webapp.trade.figures import default_figures, with_own
from webapp.trade.materials import materials
from webapp.trade.pastes import Paste, parse_flux, powders
from webapp.trade.ranges import Span
from webapp.trade.site import Site
from webapp.trade.sources import Kind, Source, Status


def site_of(session: Session) -> Site:
    """The materials and figures of the site as they are now; three small reads."""
    alloys = [own_alloy(row) for row in current_rows(session, SiteAlloyRow)]
    pastes = [own_paste(row) for row in current_rows(session, SitePasteRow)]
    known = default_figures()
    figures = [
        replace(known[row.key], value=row.value, source=figure_source(row.reference), own=True)
        for row in current_rows(session, SiteFigureRow)
        if row.key in known
    ]
    if not (alloys or pastes or figures):
        return Site()
    return Site(materials(alloys, pastes), with_own(figures))


def own_alloy(row: SiteAlloyRow) -> Alloy:
    """A stored alloy as the trade has it."""
    calculated = Source(Kind.ENTERED, f"calculated, thermodynamic data {row.data_version}", Status.DERIVED)
    typed = Source(Kind.DATASHEET, row.reference, Status.OPENED)
    return Alloy(
        designation=row.designation,
        name=row.name,
        composition_wt_pct=row.composition_wt_pct,
        solidus_c=row.solidus_c,
        liquidus_c=row.liquidus_c,
        melted_c=row.melted_c,
        density_g_cm3=row.density_g_cm3,
        solidus_source=typed if row.typed_solidus else calculated,
        liquid_source=typed if row.typed_liquid else calculated,
        own=True,
    )


def own_paste(row: SitePasteRow) -> Paste:
    """A stored paste as the trade has it."""
    return Paste(
        name=row.name,
        alloy=row.alloy,
        powder=powders()[row.powder],
        metal_wt_pct=row.metal_wt_pct,
        flux=parse_flux(row.flux),
        peak_c=Span(row.peak_low_c, row.peak_high_c),
        above_liquidus_s=Span(row.above_low_s, row.above_high_s),
        source=Source(Kind.DATASHEET, row.reference, Status.OPENED),
        own=True,
    )


def figure_source(reference: str) -> Source:
    """Where a figure of the site's own comes from."""
    return Source(Kind.ENTERED, reference, Status.ENTERED)
