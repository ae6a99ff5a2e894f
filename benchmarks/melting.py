"""Melting beside a general thermodynamics library in the same run, what the what-if page asks for at each change of a
composition, and many hybrid joints at once.

The library works from the same parameters with its models and phase records made beforehand, which is its fast way; it
has no search for a liquidus, so that it is asked by bisection to 0.01 K. Each figure is the best of three runs.
"""

import time
from collections.abc import Callable
from functools import partial

import numpy as np

from tests.reference.peer import mole_fractions, peer
from webapp.science.alloy_points import grouped
from webapp.science.diagrams import slopes
from webapp.science.equilibrium import equilibrium
from webapp.science.gibbs import ZERO_C
from webapp.science.melting import EXPOSURES_C, drawn_curve, freezing, melting_range
from webapp.science.mixing import BallJoint, Deposit, mixed_joints
from webapp.science.transitions import liquidus, solidus
from webapp.trade.composition import Composition, read_composition

ALLOY = "Sn42Bi57Ag1"
ALLOYS = (ALLOY, "Sn60Bi40", "Sn96.5Ag3Cu0.5", "Sn78.37Bi18.96Ag2.34Cu0.33")
CURVE_C = np.arange(132.0, 168.0)
HYBRIDS = 1000
# A change of composition each, by number of elements; the first only makes what is made once for their elements.
CHANGES = (
    ("Sn59Bi41", "Sn60Bi40", "Sn42Bi58"),
    ("Sn43Bi56Ag1", "Sn42Bi57Ag1", "Sn60Bi38Ag2"),
    ("Sn77Bi20Ag2.5Cu0.5", "Sn78.37Bi18.96Ag2.34Cu0.33", "Sn42Bi56.5Ag1Cu0.5"),
    ("Sn77Bi19Ag2.3Cu0.7Pb1", "Sn78Bi18Ag2.3Cu0.7Pb1", "Sn50Bi44.5Pb4Ag1Cu0.5", "Sn42Bi55.5Ag1Cu0.5Pb1"),
)
PIECES: tuple[tuple[str, Callable[[Composition], object]], ...] = (
    ("range", melting_range),
    ("curve", lambda alloy: drawn_curve(alloy, EXPOSURES_C)),
    ("freezing", freezing),
    ("slopes", slopes),
)
ACCURACY_K = 0.01


def main() -> None:
    """Print the ratios."""
    print(f"liquidus of {ALLOY}")
    compare(lambda: our_liquidus(ALLOY), lambda: their_bisection(ALLOY, 130.0, 190.0, highest=True))
    print(f"solidus and liquidus of {len(ALLOYS)} alloys")
    compare(lambda: [our_range(text) for text in ALLOYS], lambda: [their_range(text) for text in ALLOYS])
    print(f"phases of {ALLOY} at {len(CURVE_C)} temperatures")
    compare(lambda: our_curve(ALLOY), lambda: their_curve(ALLOY))
    what_if()
    print(f"{HYBRIDS} different hybrid joints, freezing included")
    seconds, _ = timed(lambda: mixed_joints(hybrids()), runs=1)
    print(f"  ours {seconds:8.2f} s, {1000 * seconds / HYBRIDS:.1f} ms a joint")


def compare(ours: Callable[[], object], theirs: Callable[[], object]) -> None:
    """One pair, its times and their ratio."""
    own, _ = timed(ours)
    other, _ = timed(theirs)
    print(f"  ours {1000 * own:8.1f} ms, library {1000 * other:8.1f} ms, ratio {other / own:.0f}")


def timed(run: Callable[[], object], runs: int = 3) -> tuple[float, object]:
    """The least processor time of a few runs, in seconds, as others may be at work; and the last result."""
    best, result = np.inf, None
    for _ in range(runs):
        start = time.process_time()
        result = run()
        best = min(best, time.process_time() - start)
    return float(best), result


def what_if() -> None:
    """Times of a first look at an alloy, the mean of a few: no result is asked for twice."""
    for first, *texts in CHANGES:
        for _, run in PIECES:
            run(read_composition(first))
        alloys = [read_composition(text) for text in texts]
        times = [
            (name, 1000 * sum(timed(partial(run, one), 1)[0] for one in alloys) / len(alloys)) for name, run in PIECES
        ]
        listed = ", ".join(f"{name} {time_ms:.0f}" for name, time_ms in times)
        print(f"what if, {len(alloys[0].elements)} elements: {sum(time_ms for _, time_ms in times):.0f} ms ({listed})")


def our_liquidus(text: str) -> float:
    (points,) = grouped([read_composition(text)])
    return float(liquidus(points.system, points.z).t_k[0]) - ZERO_C


def our_range(text: str) -> float:
    (points,) = grouped([read_composition(text)])
    return float(solidus(points.system, points.z, liquidus(points.system, points.z).t_k).t_k[0]) - ZERO_C


def our_curve(text: str) -> object:
    (points,) = grouped([read_composition(text)])
    return equilibrium(points.system, CURVE_C + ZERO_C, np.repeat(points.z, len(CURVE_C), axis=0))


def their_liquid(text: str, t_c: float) -> float:
    alloy = read_composition(text)
    elements = tuple(sorted(alloy.elements))
    found, _ = peer(elements, matrix_only=False).ask(mole_fractions(alloy, elements), t_c)
    return found.get("LIQUID", 0.0)


def their_bisection(text: str, low_c: float, high_c: float, *, highest: bool) -> float:
    """Where the last solid goes, or the first liquid comes."""
    while high_c - low_c > ACCURACY_K:
        middle = 0.5 * (low_c + high_c)
        share = their_liquid(text, middle)
        above = share > 1 - 1e-7 if highest else share > 1e-7
        low_c, high_c = (low_c, middle) if above else (middle, high_c)
    return high_c


def their_range(text: str) -> tuple[float, float]:
    low, high = (130.0, 240.0)
    return their_bisection(text, low, high, highest=False), their_bisection(text, low, high, highest=True)


def their_curve(text: str) -> list[float]:
    return [their_liquid(text, t_c) for t_c in CURVE_C]


def hybrids() -> list[BallJoint]:
    """Balls from 0.30 to 0.50 mm of SAC305 on one deposit: a composition each."""
    ball, paste = read_composition("Sn96.5Ag3Cu0.5"), read_composition(ALLOY)
    return [
        BallJoint(ball, 0.30 + 0.20 * place / HYBRIDS, 0.36, 0.36, paste, Deposit(0.40, 0.10, "round", 0.85), 185.0)
        for place in range(HYBRIDS)
    ]


if __name__ == "__main__":
    main()
