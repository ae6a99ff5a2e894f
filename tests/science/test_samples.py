"""Sample compositions of the phases."""

import numpy as np

from webapp.science.gibbs import system_of
from webapp.science.parameters import ELEMENTS
from webapp.science.samples import Samples
from webapp.science.tangents import tangent


def test_the_lowest_sample_has_the_gap_that_the_phase_has_there() -> None:
    system = system_of(ELEMENTS)
    t_k = np.array([410.0, 480.0])
    thermal = system.thermal(t_k)
    z = np.array([[0.02, 0.4, 0.01, 0.02, 0.55], [0.03, 0.1, 0.01, 0.01, 0.85]])
    mu = system.liquid_plane(t_k[None], z)[0][0]
    x, gap = Samples(system).lowest(thermal, mu)
    everything = np.concatenate([x, np.repeat(system.fixed[:, None, :], 2, axis=1)])
    assert np.allclose(tangent(system, thermal, everything, mu).gap[: len(system.solutions)], gap)


def test_samples_lie_in_the_region_of_their_site() -> None:
    system = system_of(ELEMENTS)
    mu = np.zeros((1, 5))
    x, _ = Samples(system).lowest(system.thermal(np.array([420.0])), mu)
    for place, near in enumerate(system.near[1 : len(system.solutions)], start=1):
        # At an even split a trace of the others may tip it.
        assert x[place, 0, near] >= x[place, 0].max() - 0.005
    assert np.allclose(x.sum(axis=-1), 1)
    assert x.min() > 0
