"""Independent check of the elastic holding model, by a general-purpose finite-element library.

Run offline:  python independent.py > independent.csv
Needs scikit-fem 12.0.2, numpy 2.4.6, scipy 1.17.1 (PyPI, BSD licences). It shares nothing with the program: other
elements (its P2 triangles on regular grids, Argyris plates), other loads and tabs (uniform over their own length
instead of hats), tabs written into the system as springs with multipliers. Grids have lines at the ends of every window
(load or tab); twice as many lines each way change the movement by 0.05 % of the largest, forces and moments by 0.04 % of the
load (on the tab's width).

Each row: part, plane, load's place (arc length on the outline), tab (-1 for the movement at the bit), then what a unit
load turned to its worst does: movement (largest singular value of the 2 x 2 matrix; plane "out": rise at a unit lift),
or the tab's three forces at mid kerf (norm over the load's direction): axial, shear, bending; out of the plane: lift,
bending, torsion (absolute). mm, N, MPa.
"""
import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import spsolve
from skfem import (Basis, BilinearForm, ElementTriArgyris, ElementTriP2, ElementVector, FacetBasis, LinearForm, MeshTri)
from skfem.helpers import dd, ddot

KAPPA = 5 / 6


def law(el, et, g, nu, grain):
    """Plane stress, grain at angle `grain`, by turning the compliance (not the stiffness)."""
    s = np.array([[1 / el, -nu / el, 0], [-nu / el, 1 / et, 0], [0, 0, 1 / g]])
    c, z = np.cos(grain), np.sin(grain)
    t = np.array([[c * c, z * z, 2 * c * z], [z * z, c * c, -2 * c * z], [-c * z, c * z, c * c - z * z]])
    return np.linalg.inv(t.T @ s @ t)


def modulus(el, et, g, nu, theta):
    c, z = np.cos(theta), np.sin(theta)
    return 1 / (c**4 / el + z**4 / et + (1 / g - 2 * nu / el) * c * c * z * z)


def springs(e, g, w, h, span, t):
    """Step 2 of the recipe in src/hold/mod.rs."""
    a, ii, io = w * h, h * w**3 / 12, w * h**3 / 12
    q = (e / g)**(1 / 3)
    x, b, s, c, u = .57 * q * (w * t)**.5, .3 * q * w, .27 * q * a**.5, .45 * q * h, 2.5 * a**.5
    guided = lambda i, turn, slip: 1 / (span**2 * (span + 3 * turn) / (12 * e * i) + (span + slip) / (KAPPA * g * a))
    lo, sh = max(w, h), min(w, h)
    j = lo * sh**3 * (1 / 3 - .21 * sh / lo * (1 - (sh / lo)**4 / 12))
    return ([e * a / (span + x), guided(ii, b, s), e * ii / (span + b)],
            [guided(io, c, u), e * io / (span + c), g * j / span])


class Part:
    """A mesh with its outline's arc length known at any boundary point: `where(x, y)` gives s and the unit normal."""

    def __init__(self, name, mesh, where, length, mat, grain, thickness, span, width, height, tabs, loads, patch):
        self.__dict__.update(locals())

    def forms(self, basis, at, width, fields):
        """Mean over `width` of each field (a function of v, x, out, along, span), one vector each."""
        def window(w):
            s, _, _ = self.where(w.x[0], w.x[1])
            x = (s - at + self.length / 2) % self.length - self.length / 2
            return x, (np.abs(x) <= width / 2) * 1.0
        _, nx, ny = self.where(*self.point(at))
        one = float(np.sum(window(basis_x(basis))[1] * basis.dx))
        square = float(np.sum(window(basis_x(basis))[0]**2 * window(basis_x(basis))[1] * basis.dx))
        out = np.array([float(nx), float(ny)])
        along = np.array([-out[1], out[0]])
        return [LinearForm(lambda v, w, f=f: f(v, window(w)[0] / square * one, out, along) * window(w)[1] / one).assemble(basis) for f in fields]


def lines(a, b, n, ends):
    """n steps from a to b, moved and split so that every window ends on a line: a mean over a part of an edge is exact then."""
    at = np.linspace(a, b, n + 1)
    ends = np.array([e for e in ends if a < e < b])
    near = np.abs(at[:, None] - ends).min(axis=1) < 0.35 * (b - a) / n
    near[[0, -1]] = False
    return np.unique(np.concatenate([at[~near], ends]))


class basis_x:
    def __init__(self, basis):
        self.x = basis.global_coordinates().value


def solve(k, tabs, stiff, loads):
    """Unknowns: displacements, then the springs' forces."""
    f = sp.csc_matrix(np.array(tabs).T)
    flex = sp.diags(1 / np.array(stiff))
    big = sp.bmat([[k, f], [f.T, -flex]], format="csc")
    rhs = np.vstack([np.array(loads).T, np.zeros((len(stiff), len(loads)))])
    u = spsolve(big, rhs)
    n = k.shape[0]
    return u[:n], u[n:]


def run(part):
    el, et, g, nu = part.mat
    q = law(el, et, g, nu, part.grain) * part.thickness
    e_at = lambda s: modulus(el, et, g, nu, np.arctan2(*[float(c) for c in part.where(*part.point(s))[:0:-1]]) - part.grain)

    # In the plane.
    @BilinearForm
    def membrane(u, v, w):
        eps = lambda a: (a.grad[0, 0], a.grad[1, 1], a.grad[0, 1] + a.grad[1, 0])
        a, b = eps(u), eps(v)
        return sum(q[i, j] * a[j] * b[i] for i in range(3) for j in range(3))

    element = ElementVector(ElementTriP2())
    k = membrane.assemble(Basis(part.mesh, element, intorder=4))
    facets = FacetBasis(part.mesh, element, intorder=8)
    half = part.span / 2
    dot = lambda v, d: v[0] * d[0] + v[1] * d[1]
    turn = lambda v, x, o, a: -x * dot(v, o)
    fields = [lambda v, x, o, a: dot(v, o), lambda v, x, o, a: dot(v, a) + half * turn(v, x, o, a), turn]
    tabs, stiff = [], []
    for s in part.tabs:
        tabs += part.forms(facets, s, part.width, fields)
        stiff += springs(e_at(s), g, part.width, part.height, part.span, part.thickness)[0]
    loads = [f for s in part.loads for f in part.forms(facets, s, part.patch, [lambda v, x, o, a: dot(v, o), lambda v, x, o, a: dot(v, a)])]
    u, force = solve(k, tabs, stiff, loads)
    for i, s in enumerate(part.loads):
        m = np.array([[loads[2 * i + r] @ u[:, 2 * i + c] for c in range(2)] for r in range(2)])
        print(f"{part.name},plane,{s},-1,{np.linalg.svd(m)[1][0]:.6e},0,0")
        for t in range(len(part.tabs)):
            f = [np.hypot(*force[3 * t + r, 2 * i:2 * i + 2]) for r in range(3)]
            print(f"{part.name},plane,{s},{t},{f[0]:.6e},{f[1]:.6e},{f[2]:.6e}")

    # Out of it: Kirchhoff, Argyris.
    d = law(el, et, g, nu, part.grain) * part.thickness**3 / 12

    @BilinearForm
    def plate(u, v, w):
        kap = lambda a: (a.hess[0, 0], a.hess[1, 1], 2 * a.hess[0, 1])
        a, b = kap(u), kap(v)
        return sum(d[i, j] * a[j] * b[i] for i in range(3) for j in range(3))

    element = ElementTriArgyris()
    k = plate.assemble(Basis(part.coarse, element, intorder=8))
    facets = FacetBasis(part.coarse, element, intorder=10)
    tilt = lambda v, axis: v.grad[1] * axis[0] - v.grad[0] * axis[1]
    fields = [lambda v, x, o, a: v.value + half * (v.grad[0] * o[0] + v.grad[1] * o[1]),
              lambda v, x, o, a: tilt(v, a), lambda v, x, o, a: tilt(v, o)]
    tabs, stiff = [], []
    for s in part.tabs:
        tabs += part.forms(facets, s, part.width, fields)
        stiff += springs(e_at(s), g, part.width, part.height, part.span, part.thickness)[1]
    loads = [part.forms(facets, s, part.patch, [lambda v, x, o, a: v.value])[0] for s in part.loads]
    u, force = solve(k, tabs, stiff, loads)
    for i, s in enumerate(part.loads):
        print(f"{part.name},out,{s},-1,{loads[i] @ u[:, i]:.6e},0,0")
        for t in range(len(part.tabs)):
            f = [abs(force[3 * t + r, i]) for r in range(3)]
            print(f"{part.name},out,{s},{t},{f[0]:.6e},{f[1]:.6e},{f[2]:.6e}")


def bar():
    """60 x 3 mm, walnut along the grain, two tabs on opposite edges."""
    a, b = 60.0, 3.0

    def where(x, y):
        x, y = np.asarray(x), np.asarray(y)
        d = np.stack([np.abs(y), np.abs(x - a), np.abs(y - b), np.abs(x)])
        i = np.argmin(d, axis=0)
        s = np.choose(i, [x, a + y, a + b + (a - x), 2 * a + b + (b - y)])
        return s, np.choose(i, [0 * x, 0 * x + 1, 0 * x, 0 * x - 1]), np.choose(i, [0 * x - 1, 0 * x, 0 * x + 1, 0 * x])

    # Tabs 6 mm wide about x = 12 and 45, the bit's patch about 1.5, 30, 45 and 13.
    ends = [x + s * h for x, h in [(12., 3.), (45., 3.), (1.5, .396875), (30., .396875), (45., .396875), (13., .396875)] for s in (-1, 1)]
    grid = lambda n, m: MeshTri.init_tensor(lines(0, a, n, ends), np.linspace(0, b, m + 1))
    part = Part("bar", grid(240, 12), where, 2 * (a + b), (12760., 715., 791., .632), 0.0, 3.0, 1.5875, 6.0, 0.8,
                [12.0, 78.0], [1.5, 30.0, 45.0, 93.0, 110.0], 0.79375)
    part.coarse = grid(80, 4)
    part.point = lambda s: (s, 0.0) if s < a else (a, s - a) if s < a + b else (2 * a + b - s, b) if s < 2 * a + b else (0.0, 2 * (a + b) - s)
    return part


def hook():
    """An open ring: radii 20 and 30 mm from 30 to 330 degrees, hard maple, grain at 0.5 rad, three tabs outside."""
    r0, r1, t0, t1 = 20.0, 30.0, np.pi / 6, 11 * np.pi / 6
    arc = t1 - t0
    l1, l0, w = r1 * arc, r0 * arc, r1 - r0

    def where(x, y):
        r, t = np.hypot(x, y), np.arctan2(y, x) % (2 * np.pi)
        d = np.stack([np.abs(r - r1), np.abs(t - t1) * r, np.abs(r - r0), np.abs(t - t0) * r])
        i = np.argmin(d, axis=0)
        s = np.choose(i, [r1 * (t - t0), l1 + (r1 - r), l1 + w + r0 * (t1 - t), l1 + w + l0 + (r - r0)])
        return (s, np.choose(i, [np.cos(t), -np.sin(t), -np.cos(t), np.sin(t)]),
                np.choose(i, [np.sin(t), np.cos(t), -np.sin(t), -np.cos(t)]))

    # Tabs 5 mm wide and the bit's patch on the outer arc, one patch on the inner.
    ends = [t0 + (x + s * h) / r1 for x, h in [(20., 2.5), (75., 2.5), (140., 2.5)] + [(x, .79375) for x in (5., 45., 110., 152.)] for s in (-1, 1)]
    ends += [t1 - (220. - l1 - w + s * .79375) / r0 for s in (-1, 1)]

    def grid(n, m):
        g = MeshTri.init_tensor(lines(t0, t1, n, ends), np.linspace(r0, r1, m + 1))
        return MeshTri(np.stack([g.p[1] * np.cos(g.p[0]), g.p[1] * np.sin(g.p[0])]), g.t)

    part = Part("hook", grid(300, 20), where, l1 + l0 + 2 * w, (13860., 901., 873., .476), 0.5, 3.0, 3.175, 5.0, 1.5,
                [20.0, 75.0, 140.0], [5.0, 45.0, 110.0, 152.0, 220.0], 1.5875)
    part.coarse = grid(100, 6)

    def point(s):
        if s < l1:
            return r1 * np.cos(t0 + s / r1), r1 * np.sin(t0 + s / r1)
        if s < l1 + w:
            return (r1 - (s - l1)) * np.cos(t1), (r1 - (s - l1)) * np.sin(t1)
        t = t1 - (s - l1 - w) / r0
        return r0 * np.cos(t), r0 * np.sin(t)

    part.point = point
    return part


if __name__ == "__main__":
    print("part,plane,load,tab,first,second,third")
    run(bar())
    run(hook())
