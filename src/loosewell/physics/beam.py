"""Hermite beam elements of an arrow: stiffness, mass, axial load, modes.

Two unknowns a node, sideways displacement and slope. A matrix of the whole
arrow is kept as its blocks: row i holds the upper half of the diagonal block of
node i (00, 01, 11) and the block that couples node i to node i + 1
(00, 01, 10, 11), seven numbers a node; the last node's coupling is zero.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

FREE_FREE_ROOTS = (4.730040744862704, 7.853204624095838, 10.995607838001671)
"""beta L of the first three bending modes of a uniform free-free beam. [-]"""


_GAUSS = np.polynomial.legendre.leggauss(4)
"""Points and weights on -1 to 1, exact for the products of cubic slopes with a linear thrust."""


def _add_element(blocks: Array, i: int, element: Array) -> None:
    blocks[i, 0] += element[0, 0]
    blocks[i, 1] += element[0, 1]
    blocks[i, 2] += element[1, 1]
    blocks[i, 3] += element[0, 2]
    blocks[i, 4] += element[0, 3]
    blocks[i, 5] += element[1, 2]
    blocks[i, 6] += element[1, 3]
    blocks[i + 1, 0] += element[2, 2]
    blocks[i + 1, 1] += element[2, 3]
    blocks[i + 1, 2] += element[3, 3]


def stiffness_blocks(bending_stiffness: Array, length: float) -> Array:
    """Bending stiffness matrix of a shaft.

    Parameters
    ----------
    bending_stiffness : ndarray, shape (elements,)
        E·I of each element, from the nock on. [N m²]
    length : float
        Length of the shaft, cut into equal elements. [m]

    Returns
    -------
    blocks : ndarray, shape (elements + 1, 7)
        Block rows, displacement in metres and slope in radians. [N/m, N, N m]

    Holds
    -----
    Small slopes, no shear, E·I constant inside an element.

    Source
    ------
    Euler-Bernoulli beam, cubic Hermite shape functions; any finite-element text.
    """
    n = len(bending_stiffness)
    h = length / n
    unit = np.array(
        [
            [12.0, 6.0 * h, -12.0, 6.0 * h],
            [6.0 * h, 4.0 * h * h, -6.0 * h, 2.0 * h * h],
            [-12.0, -6.0 * h, 12.0, -6.0 * h],
            [6.0 * h, 2.0 * h * h, -6.0 * h, 4.0 * h * h],
        ]
    )
    blocks = np.zeros((n + 1, 7))
    for i in range(n):
        _add_element(blocks, i, unit * (bending_stiffness[i] / h**3))
    return blocks


def mass_blocks(mass_per_length: Array, length: float) -> Array:
    """Consistent mass matrix of a shaft.

    Parameters
    ----------
    mass_per_length : ndarray, shape (elements,)
        Mass for each metre of each element, from the nock on. [kg/m]
    length : float
        Length of the shaft. [m]

    Returns
    -------
    blocks : ndarray, shape (elements + 1, 7)
        Block rows. [kg, kg m, kg m²]

    Holds
    -----
    Mass on the axis, no rotary inertia of the cross-section.

    Source
    ------
    Consistent mass of cubic Hermite elements; any finite-element text.
    """
    n = len(mass_per_length)
    h = length / n
    unit = np.array(
        [
            [156.0, 22.0 * h, 54.0, -13.0 * h],
            [22.0 * h, 4.0 * h * h, 13.0 * h, -3.0 * h * h],
            [54.0, 13.0 * h, 156.0, -22.0 * h],
            [-13.0 * h, -3.0 * h * h, -22.0 * h, 4.0 * h * h],
        ]
    )
    blocks = np.zeros((n + 1, 7))
    for i in range(n):
        _add_element(blocks, i, unit * (mass_per_length[i] * h / 420.0))
    return blocks


def axial_blocks(mass_ahead: Array, length: float) -> Array:
    """Softening of the bending stiffness by one unit of forward acceleration.

    Parameters
    ----------
    mass_ahead : ndarray, shape (elements, 2)
        Mass in front of the rear and of the front end of each element. [kg]
    length : float
        Length of the shaft. [m]

    Returns
    -------
    blocks : ndarray, shape (elements + 1, 7)
        Block rows, to be multiplied by the acceleration and subtracted from the
        stiffness. [kg/m, kg, kg m]

    Holds
    -----
    The push comes from the nock: the compression at a section is the
    acceleration times the mass ahead of it, and falls linearly inside an element.

    Source
    ------
    Geometric stiffness of a beam-column with linearly varying thrust, derived in
    docs/physics/beam.md by Gauss quadrature, exact for the cubic shapes.
    """
    n = len(mass_ahead)
    h = length / n
    point, weight = _GAUSS
    xi = 0.5 * (point + 1.0)
    slope = np.array(
        [
            (-6.0 * xi + 6.0 * xi**2) / h,
            1.0 - 4.0 * xi + 3.0 * xi**2,
            (6.0 * xi - 6.0 * xi**2) / h,
            -2.0 * xi + 3.0 * xi**2,
        ]
    )
    blocks = np.zeros((n + 1, 7))
    for i in range(n):
        thrust = mass_ahead[i, 0] * (1.0 - xi) + mass_ahead[i, 1] * xi
        element = (slope * (thrust * 0.5 * weight * h)) @ slope.T
        _add_element(blocks, i, element)
    return blocks


def mass_ahead_of_elements(mass_per_length: Array, length: float, lumps: Array) -> Array:
    """Mass in front of each end of each element.

    Parameters
    ----------
    mass_per_length : ndarray, shape (elements,)
        Shaft mass for each metre. [kg/m]
    length : float
        Length of the shaft. [m]
    lumps : ndarray, shape (elements + 1,)
        Masses sitting at the nodes, the point at the last. [kg]

    Returns
    -------
    mass_ahead : ndarray, shape (elements, 2)
        Mass ahead of the rear end and of the front end of each element. [kg]

    Holds
    -----
    A lump at a node counts for the elements behind it.

    Source
    ------
    Definition.
    """
    n = len(mass_per_length)
    h = length / n
    ahead = np.zeros((n, 2))
    total = 0.0
    for i in range(n - 1, -1, -1):
        total += lumps[i + 1]
        ahead[i, 1] = total
        total += mass_per_length[i] * h
        ahead[i, 0] = total
    return ahead


def dense(blocks: Array) -> Array:
    """Square matrix of a set of block rows.

    Parameters
    ----------
    blocks : ndarray, shape (nodes, 7)
        Block rows. [any]

    Returns
    -------
    matrix : ndarray, shape (2 nodes, 2 nodes)
        The symmetric matrix, displacement and slope of node 0 first. [any]

    Holds
    -----
    Exact.

    Source
    ------
    Definition of the block rows, above.
    """
    n = len(blocks)
    out = np.zeros((2 * n, 2 * n))
    for i in range(n):
        d, e = blocks[i, :3], blocks[i, 3:]
        out[2 * i, 2 * i] = d[0]
        out[2 * i, 2 * i + 1] = out[2 * i + 1, 2 * i] = d[1]
        out[2 * i + 1, 2 * i + 1] = d[2]
        if i + 1 < n:
            block = np.array([[e[0], e[1]], [e[2], e[3]]])
            out[2 * i : 2 * i + 2, 2 * i + 2 : 2 * i + 4] = block
            out[2 * i + 2 : 2 * i + 4, 2 * i : 2 * i + 2] = block.T
    return out


def free_modes(stiffness: Array, mass: Array, count: int) -> tuple[Array, Array]:
    """Bending frequencies and shapes of a shaft free at both ends.

    Parameters
    ----------
    stiffness : ndarray, shape (nodes, 7)
        Block rows of the bending stiffness. [N/m, N, N m]
    mass : ndarray, shape (nodes, 7)
        Block rows of the mass. [kg, kg m, kg m²]
    count : int
        Number of bending modes. [-]

    Returns
    -------
    angular_frequency : ndarray, shape (count,)
        Rising. [rad/s]
    shape : ndarray, shape (2 nodes, count)
        Displacement and slope of each node, scaled to unit modal mass. [kg^-1/2, kg^-1/2/m]

    Holds
    -----
    The two rigid motions are left out. Undamped, no axial load.

    Source
    ------
    scipy.linalg.eigh on the dense matrices.
    """
    from scipy.linalg import eigh

    values, vectors = eigh(dense(stiffness), dense(mass), subset_by_index=(0, count + 1))
    return np.sqrt(np.maximum(values[2:], 0.0)), np.asarray(vectors[:, 2:], dtype=np.float64)


def arrow_blocks(
    bending_stiffness: Array,
    mass_per_length: Array,
    length: float,
    node_mass: Array,
    point_mass: float,
    point_centre: float,
    point_inertia: float,
) -> Array:
    """The five matrices of a whole arrow that the launch needs.

    Parameters
    ----------
    bending_stiffness : ndarray, shape (elements,)
        E·I of each element, from the nock on. [N m²]
    mass_per_length : ndarray, shape (elements,)
        Mass for each metre of shaft. [kg/m]
    length : float
        Nock throat to the front of the shaft. [m]
    node_mass : ndarray, shape (elements + 1,)
        Nock, fletching and other parts on the shaft, shared out to the nodes. [kg]
    point_mass : float
        Mass of the point. [kg]
    point_centre : float
        Centre of mass of the point ahead of the front of the shaft. [m]
    point_inertia : float
        Of the point about its own centre of mass, across. [kg m²]

    Returns
    -------
    blocks : ndarray, shape (5, elements + 1, 7)
        Stiffness, mass of the shaft, mass of the parts, axial softening by the
        shaft's mass and by the parts' mass, each as block rows. [SI]

    Holds
    -----
    The point is rigid and turns with the front end of the shaft; its own inertia
    under thrust softens that turning by mass times centre.

    Source
    ------
    Derived in docs/physics/beam.md.
    """
    nodes = len(bending_stiffness) + 1
    parts = np.zeros((nodes, 7))
    parts[:, 0] = node_mass
    parts[-1, 0] += point_mass
    parts[-1, 1] += point_mass * point_centre
    parts[-1, 2] += point_mass * point_centre**2 + point_inertia
    lumps = np.array(node_mass, dtype=np.float64)
    lumps[-1] += point_mass
    soft_shaft = axial_blocks(
        mass_ahead_of_elements(mass_per_length, length, np.zeros(nodes)), length
    )
    soft_parts = axial_blocks(mass_ahead_of_elements(np.zeros(nodes - 1), length, lumps), length)
    soft_parts[-1, 2] += point_mass * point_centre
    return np.array(
        [
            stiffness_blocks(bending_stiffness, length),
            mass_blocks(mass_per_length, length),
            parts,
            soft_shaft,
            soft_parts,
        ]
    )


def shared_to_nodes(mass: float, centre: float, length: float, nodes: int) -> Array:
    """Point mass on the shaft, shared out between the two nodes beside it.

    Parameters
    ----------
    mass : float
        The mass. [kg]
    centre : float
        Where it sits, from the nock throat; kept inside the shaft. [m]
    length : float
        Length of the shaft. [m]
    nodes : int
        Number of nodes. [-]

    Returns
    -------
    node_mass : ndarray, shape (nodes,)
        Sums to mass and balances at centre. [kg]

    Holds
    -----
    Exact for mass and balance; inertia is over by at most mass times a quarter
    of an element's length squared.

    Source
    ------
    Lever rule.
    """
    place = min(max(centre / length, 0.0), 1.0) * (nodes - 1)
    i = min(int(place), nodes - 2)
    out = np.zeros(nodes)
    out[i] = mass * (1.0 - (place - i))
    out[i + 1] = mass * (place - i)
    return out


def lump_blocks(mass: float, centre: float, length: float, nodes: int) -> tuple[Array, Array]:
    """Point mass anywhere on the shaft, moving as the element under it does.

    Parameters
    ----------
    mass : float
        The mass. [kg]
    centre : float
        Where it sits, from the nock throat; kept inside the shaft. [m]
    length : float
        Length of the shaft. [m]
    nodes : int
        Number of nodes. [-]

    Returns
    -------
    moving, softening : ndarray, shape (nodes, 7)
        To be added to the mass of the parts and to their softening. [SI]

    Holds
    -----
    Mass, balance and inertia exact. The lever rule makes the inertia too large by up to a
    quarter of mass times the element's length squared, which a feather a few inches from the
    nock does not forgive.

    Source
    ------
    Consistent mass of a point on a beam element; its thrust ends at the mass.
    """
    h = length / (nodes - 1)
    place = min(max(centre / length, 0.0), 1.0) * (nodes - 1)
    i = min(int(place), nodes - 2)
    xi = place - i
    shape = np.array(
        [
            1.0 - 3.0 * xi**2 + 2.0 * xi**3,
            h * (xi - 2.0 * xi**2 + xi**3),
            3.0 * xi**2 - 2.0 * xi**3,
            h * (xi**3 - xi**2),
        ]
    )
    moving = np.zeros((nodes, 7))
    _add_element(moving, i, mass * np.outer(shape, shape))
    behind = np.zeros((nodes - 1, 2))
    behind[:i] = mass
    softening = axial_blocks(behind, length)
    point, weight = _GAUSS
    at = 0.5 * xi * (point + 1.0)
    slope = np.array(
        [
            (-6.0 * at + 6.0 * at**2) / h,
            1.0 - 4.0 * at + 3.0 * at**2,
            (6.0 * at - 6.0 * at**2) / h,
            -2.0 * at + 3.0 * at**2,
        ]
    )
    _add_element(softening, i, mass * (slope * (0.5 * weight * xi * h)) @ slope.T)
    return moving, softening
