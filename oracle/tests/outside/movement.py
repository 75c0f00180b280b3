"""Beams, buckling and held rails by general packages: cases as JSON in, answers as JSON out.

scikit-fem assembles finite elements, scipy solves them; sectionproperties meshes rail sections. Nothing here knows the
formulas it is compared with.
"""

import json
import sys

import numpy as np
from scipy.integrate import quad
from scipy.optimize import brentq, minimize_scalar, nnls
from scipy.sparse.linalg import eigsh, spsolve
from skfem import Basis, BilinearForm, ElementLineHermite, LinearForm, MeshLine
from skfem.helpers import d, dd, ddot, dot


@BilinearForm
def bending(u, v, _):
    return ddot(dd(u), dd(v))


@BilinearForm
def pressing(u, v, _):
    return dot(d(u), d(v))


@BilinearForm
def foundation(u, v, _):
    return u * v


def beam(points):
    """A beam with nodes at these points, cut finer between them."""
    pieces = [np.linspace(a, b, 33)[:-1] for a, b in zip(points, points[1:])]
    mesh = MeshLine(np.concatenate(pieces + [np.array([points[-1]])]))
    return mesh, Basis(mesh, ElementLineHermite())


def dofs(mesh, basis, x):
    """The deflection and the slope at a node."""
    node = int(np.argmin(np.abs(mesh.p[0] - x)))
    return basis.nodal_dofs[:, node]


def throw_wire(case):
    """Deflection at heights above the fulcrum: the arm moved sideways, the throwbar pushed."""
    a, b = case["below"], case["above"]
    mesh, basis = beam([0.0, a] + [a + h for h in case["heights"] if 0.0 < h < b] + [a + b])
    stiffness = case["bending"] * bending.assemble(basis).tocsr()
    load = np.zeros(basis.N)
    load[dofs(mesh, basis, a + b)[0]] = -case["force"]
    low = dofs(mesh, basis, 0.0)
    # The arm's travel comes in as a turn of the whole wire about its fulcrum: a clamped arm tilts with it.
    held = [low[0], dofs(mesh, basis, a)[0]] + ([low[1]] if case["clamped"] else [])
    free = np.setdiff1d(np.arange(basis.N), held)
    moved = np.zeros(basis.N)
    moved[free] = spsolve(stiffness[free][:, free].tocsc(), load[free])
    line = case["arm"] / a
    return [line * h + moved[dofs(mesh, basis, a + h)[0]] for h in case["heights"]]


def buckling_load(mesh, basis, bend, held, foundation_stiffness=0.0):
    stiffness = bend * bending.assemble(basis) + foundation_stiffness * foundation.assemble(basis)
    geometric = pressing.assemble(basis)
    free = np.setdiff1d(np.arange(basis.N), held)
    k, g = stiffness.tocsr()[free][:, free].tocsc(), geometric.tocsr()[free][:, free].tocsc()
    # The least load is the greatest of the inverse.
    greatest = eigsh(g, k=1, M=k, which="LA", return_eigenvectors=False)
    return float(1.0 / greatest[0])


def between_fixings(case):
    """A rail over many pins, or between two that clamp it: the load at which it goes sideways."""
    spans = case["spans"]
    pins = [case["spacing"] * i for i in range(spans + 1)]
    mesh, basis = beam(pins)
    held = [dofs(mesh, basis, x)[0] for x in pins]
    if case["clamped"]:
        held += [dofs(mesh, basis, x)[1] for x in (pins[0], pins[-1])]
    return buckling_load(mesh, basis, case["bending"], held)


def on_foundation(case):
    """A long beam on an elastic foundation."""
    # Fifty waves long, so that its ends do not matter.
    wave = 2 * np.pi * (case["bending"] / case["foundation"]) ** 0.25
    mesh, basis = beam([wave * i for i in range(31)])
    held = [dofs(mesh, basis, 0.0)[0], dofs(mesh, basis, wave * 30)[0]]
    return buckling_load(mesh, basis, case["bending"], held, case["foundation"])


def gripped_rail(case):
    """How far the free end moves: least energy of a rail that gives, against friction that only resists outward."""
    n, length = 400, case["distance"]
    h = length / n
    rise = np.full(n, case["strain"])
    # E·A/2·Σ(Δu/h − ε)²·h + r·Σu·h, u = 0 at the still point and nowhere inward: a least-squares problem with bounds.
    delta = (np.eye(n) - np.eye(n, k=-1)) / h
    root = np.sqrt(case["stiffness"] * h)
    weight = np.full(n, h)
    weight[-1] = h / 2
    matrix = root * delta
    target = root * rise - np.linalg.solve(matrix.T, case["grip"] * weight)
    return float(nnls(matrix, target, maxiter=20 * n)[0][-1])


def held_sideways(case):
    """The least load of the first and of the endless shape, from the differential equation of the buckle itself."""
    ei, ea, q, r = case["bending"], case["stiffness"], case["sideways"], case["lengthways"]

    # One half wave, moment and slope nought at its ends: y' = −(q/P)(z − sin(kz)/(k·cos(kL/2))), tan(kL/2) = kL/2.
    half = brentq(lambda x: np.sin(x) - x * np.cos(x), 4.0, 4.7)

    def first(length):
        k = 2 * half / length
        p = ei * k * k
        slope = lambda z: -(q / p) * (z - np.sin(k * z) / (k * np.cos(half)))
        slack = 0.5 * quad(lambda z: slope(z) ** 2, -length / 2, length / 2, epsabs=0, epsrel=1e-11)[0]
        # What the buckle takes up comes from the rail in it and from the rail that slides towards it on either side.
        drop = brentq(lambda t: t * length / ea + t * t / (r * ea) - slack, 0.0, 1e12, xtol=1e-9, rtol=1e-14)
        return p + drop

    # Half waves without end, moment nought between them: y' = −(q/P)(z + sin(kz)/k), kL = 2π; nothing slides.
    def endless(length):
        k = 2 * np.pi / length
        p = ei * k * k
        slope = lambda z: -(q / p) * (z + np.sin(k * z) / k)
        slack = 0.5 * quad(lambda z: slope(z) ** 2, -length / 2, length / 2, epsabs=0, epsrel=1e-11)[0]
        return p + ea * slack / length

    low, high = np.log(case["from"]), np.log(case["to"])
    found = [minimize_scalar(lambda x: f(np.exp(x)), bounds=(low, high), method="bounded", options={"xatol": 1e-10})
             for f in (first, endless)]
    return [[float(f.fun), float(np.exp(f.x))] for f in found]


def section(case):
    """Area and second moment sideways of a rail drawn as foot, web and head with sloping shoulders; millimetres."""
    from sectionproperties.analysis import Section
    from sectionproperties.pre import Geometry
    from shapely import Polygon

    h, base, head, web = case["height"], case["base"], case["head"], case["web"]
    foot, slope, top = case["foot"] * h, case["slope"] * h, case["top"] * h
    right = [(base / 2, 0), (base / 2, foot), (web / 2, foot + slope), (web / 2, h - top - slope), (head / 2, h - top),
             (head / 2, h)]
    geometry = Geometry(Polygon(right + [(-x, y) for x, y in reversed(right)])).create_mesh(mesh_sizes=[web * web / 8])
    calculated = Section(geometry)
    calculated.calculate_geometric_properties()
    return [calculated.get_area(), calculated.get_ic()[1]]


KINDS = {f.__name__: f for f in
         (throw_wire, between_fixings, on_foundation, gripped_rail, held_sideways, section)}

if __name__ == "__main__":
    print(json.dumps([KINDS[case["kind"]](case) for case in json.load(sys.stdin)]))
