"""What the roots' own give leaves of a built-in tab's stiffness: solid finite elements of a tab with its two blocks.

Run offline:  python root_give.py > root_give.csv      (about 20 minutes on one core; the rows are sorted afterwards)
              python root_give.py floor > root_give_floor.csv
Needs scikit-fem 12.0.2, numpy 2.4.6, scipy 1.17.1 (PyPI, BSD licences). It shares nothing with the program.

The tab (span x width x height, at the sheet's underside) joins two blocks of the sheet's thickness t. The blocks reach
`reach` beyond the tab in depth and to either side, and their far faces move as rigid bodies against each other, about the
tab's middle. 20-node bricks, graded to the root; the tab's middle plane, and its plane of symmetry where there is one,
halve the model twice (45 degrees: once, by the half turn about the vertical).

reach = 2 t is what a plate or plane model of the part and the skeleton does not have: thickness effects die out within
about t (Saint-Venant). reach = 5 t also counts what bends and dents in the plane, which the program's own part has again (35 rows of 72:
that run was stopped). A mesh twice as fine in each direction changes the shares of one case by 1 to 2 % (acrylic, 5 x 1.5 over 3.175 mm).

Each row: the case, then for the six springs FE stiffness over the bare Timoshenko beam's (`Stiffness::bare`, E at the
span's angle to the grain, G of the plane): along the span, along the edge, turn, up, tilt, twist. `held`: the other
motions held; for `axial_free`, `shear_free`, `tilt_free`, `twist_free` the one that goes with it (by the tab's place at the
underside) is free.

Wood: sugar maple, flat-sawn (L-T in the sheet's plane, R up): E_L 13860 (1.1 MOE), E_T 901, E_R 1830, G_LT 873, G_LR 1538,
nu_LT 0.476, nu_LR 0.424, nu_RT 0.774 (Wood Handbook, tables 5-1 to 5-3a, read); the handbook has no G_RT for it: black
walnut's 0.021 E_L (from memory). Acrylic: E 3000, nu 0.35.
"""
import sys
import numpy as np
import scipy.sparse as sp
from scipy.sparse.linalg import splu
from skfem import Basis, BilinearForm, ElementHexS2, ElementVector, MeshHex

MAPLE = dict(e=(13860., 901., 1830.), g_lt=873., g_lr=1538., g_rt=.021 * 13860, nu_lt=.476, nu_lr=.424, nu_rt=.774)
ACRYLIC = dict(e=(3000.,) * 3, g_lt=3000 / 2.7, g_lr=3000 / 2.7, g_rt=3000 / 2.7, nu_lt=.35, nu_lr=.35, nu_rt=.35)


def law(m, grain):
    """Stiffness, order xx yy zz yz xz xy; the grain turned about z by `grain` from the span."""
    (el, et, er), s = m["e"], np.zeros((6, 6))
    s[0, 0], s[1, 1], s[2, 2] = 1 / el, 1 / et, 1 / er
    s[0, 1] = s[1, 0] = -m["nu_lt"] / el
    s[0, 2] = s[2, 0] = -m["nu_lr"] / el
    s[1, 2] = s[2, 1] = -m["nu_rt"] / er
    s[3, 3], s[4, 4], s[5, 5] = 1 / m["g_rt"], 1 / m["g_lr"], 1 / m["g_lt"]
    c, z = np.cos(grain), np.sin(grain)
    t = np.array([[c*c, z*z, 0, 0, 0, 2*c*z], [z*z, c*c, 0, 0, 0, -2*c*z], [0, 0, 1, 0, 0, 0],
                  [0, 0, 0, c, -z, 0], [0, 0, 0, z, c, 0], [-c*z, c*z, 0, 0, 0, c*c - z*z]])
    return np.linalg.inv(t.T @ s @ t)


def beam(m, grain, span, w, h):
    """The bare Timoshenko beam, by the program's recipe (src/hold/mod.rs, step 2) without give."""
    (el, et, _), g = m["e"], m["g_lt"]
    c, z = np.cos(grain)**2, np.sin(grain)**2
    e = 1 / (c*c / el + z*z / et + (1 / g - 2 * m["nu_lt"] / el) * c * z)
    a, ii, io = w * h, h * w**3 / 12, w * h**3 / 12
    guided = lambda i: 1 / (span**3 / (12 * e * i) + span / (5 / 6 * g * a))
    lo, sh = max(w, h), min(w, h)
    j = lo * sh**3 * (1 / 3 - .21 * sh / lo * (1 - (sh / lo)**4 / 12))
    return np.array([e * a / span, guided(ii), e * ii / span, guided(io), e * io / span, g * j / span])


def graded(a, b, n, q):
    """n cells from a to b, each q times as long as the one before."""
    s = q ** np.arange(n)
    return a + (b - a) * np.concatenate([[0], np.cumsum(s)]) / s.sum()


def model(m, grain, span, w, h, t, reach, fine=0.7, half=False, strip=False):
    n = lambda k: max(2, round(k * fine))
    tab_x = span / 2 - graded(0, span / 2, n(4), 1.5)[::-1]
    xs = np.concatenate([tab_x, graded(span / 2, span / 2 + reach, n(6), 1.6)[1:]])
    tab_y = w / 2 - graded(0, w / 2, n(4), 1.5)[::-1]
    ys = np.concatenate([tab_y, graded(w / 2, w / 2 + reach, n(6), 1.6)[1:]])
    if strip:
        ys = np.array([0, w / 2])
    if half:
        ys = np.concatenate([-ys[:0:-1], ys])
    zs = graded(0, h, n(3), 0.75)
    if t > h:
        zs = np.concatenate([zs, graded(h, t, n(4), 1.4)[1:]])
    mesh = MeshHex.init_tensor(xs, ys, zs)
    mid = mesh.p[:, mesh.t].mean(axis=1)
    air = (mid[0] < span / 2) & ((abs(mid[1]) > w / 2) | (mid[2] > h))
    mesh = mesh.remove_elements(np.nonzero(air)[0])
    d = law(m, grain)

    @BilinearForm
    def elastic(u, v, _):
        eps = lambda a: (a.grad[0, 0], a.grad[1, 1], a.grad[2, 2], a.grad[1, 2] + a.grad[2, 1],
                         a.grad[0, 2] + a.grad[2, 0], a.grad[0, 1] + a.grad[1, 0])
        a, b = eps(u), eps(v)
        return sum(d[i, j] * a[j] * b[i] for i in range(6) for j in range(6) if d[i, j] != 0)

    basis = Basis(mesh, ElementVector(ElementHexS2()), intorder=4)
    k = elastic.assemble(basis).tocsr()
    x, y, z = basis.doflocs
    comp = np.zeros(basis.N, int)
    for c in range(3):                           # which component a freedom is: what a constant field along c excites
        for part in (basis.nodal_dofs, basis.edge_dofs):
            comp[part[c]] = c
    far = np.isclose(x, xs[-1]) | (np.isclose(abs(y), ys[-1]) & (not strip))
    zc = z - h / 2
    pick = lambda ux, uy, uz: np.select([comp == 0, comp == 1], [ux, uy], uz)
    o = 0 * x
    motions = [pick(o + 1, o, o), pick(o, o + 1, o), pick(-y, x, o), pick(o, o, o + 1), pick(-zc, o, x), pick(o, -zc, y)]
    out = np.zeros((6, 6))

    def solve(which, keep):
        """keep: columns of the freedoms that the symmetry leaves, on all freedoms."""
        fixed = np.asarray((abs(keep[far]).sum(axis=0) > 0)).ravel()
        free = np.nonzero(~fixed)[0]
        t_free = keep[:, free]
        lu = splu((t_free.T @ k @ t_free).tocsc(), permc_spec="MMD_AT_PLUS_A", options=dict(SymmetricMode=True), diag_pivot_thresh=0.0)
        us = []
        for i in which:
            u0 = np.where(far, motions[i], 0.0)
            u = u0 - t_free @ lu.solve(t_free.T @ (k @ u0))
            us.append(u)
        for i, u in zip(which, us):
            for j, v in zip(which, us):
                out[i, j] = u @ (k @ v)

    mid_x, mid_y = np.isclose(x, 0), np.isclose(y, 0)
    eye = sp.identity(basis.N, format="csc")
    if not half:
        def drop(*masks):
            return eye[:, np.nonzero(~np.logical_or.reduce(masks))[0]]
        sx, ax = mid_x & (comp == 0), mid_x & (comp != 0)
        sy, ay = mid_y & (comp == 1), mid_y & (comp != 1)
        if strip:                                # a long floor: the same all along, no strain along the edge
            sy, ay = comp == 1, comp != 1
        solve([0, 4], drop(sx, sy))
        solve([2], drop(sx, ay))
        solve([3], drop(ax, sy))
        solve([1, 5], drop(ax, ay))
        return out, basis.N
    out_of = {}
    for i in np.nonzero(mid_x)[0]:
        out_of[(comp[i], round(y[i], 9), round(z[i], 9))] = i
    for which, sign in (([0, 1, 4, 5], 1), ([2, 3], -1)):
        cols, data, rows, next_col = [], [], [], 0
        for i in range(basis.N):
            s = (sign if comp[i] == 2 else -sign) if mid_x[i] else 0
            if mid_x[i] and y[i] < -1e-9:
                continue
            if mid_x[i] and abs(y[i]) < 1e-9:
                if s < 0:
                    continue
            rows.append(i), cols.append(next_col), data.append(1.0)
            if mid_x[i] and y[i] > 1e-9:
                rows.append(out_of[(comp[i], round(-y[i], 9), round(z[i], 9))]), cols.append(next_col), data.append(float(s))
            next_col += 1
        solve(which, sp.csc_matrix((data, (rows, cols)), shape=(basis.N, next_col)))
    return out / 2, basis.N


def strip_row(name, m, degrees, span, h, t):
    """A long floor of height h: per mm of edge, so that only the pull, the push along the edge and the lift are springs."""
    k, _ = model(m, np.radians(degrees), span, 1.0, h, t, 2 * t, strip=True)
    e, g = beam(m, np.radians(degrees), span, 1.0, h)[0] * span / h, m["g_lt"]
    bare = np.array([e * h / span, 5 / 6 * g * h / span, 1 / (span**3 / (e * h**3) + span / (5 / 6 * g * h))])
    print(f"{name},{degrees},{span},{h},{t}," + ",".join(f"{v:.4f}" for v in k[[0, 1, 3], [0, 1, 3]] / bare), flush=True)


def row(name, m, degrees, span, w, h, t, reach, fine=0.7, half=None):
    grain = np.radians(degrees)
    half = degrees not in (0, 90) if half is None else half
    k, _ = model(m, grain, span, w, h, t, reach, fine, half)
    b = beam(m, grain, span, w, h)
    held = np.diag(k) / b
    c = np.linalg.inv(k)
    free = 1 / np.diag(c) / b
    print(f"{name},{degrees},{span},{w},{h},{t},{reach / t:.0f}," + ",".join(f"{v:.4f}" for v in held)
          + f",{free[0]:.4f},{free[1]:.4f},{free[4]:.4f},{free[5]:.4f}", flush=True)


CASES = [("acrylic", ACRYLIC, 0), ("maple", MAPLE, 0), ("maple", MAPLE, 90)]
SPANS = (1.5875, 3.175, 6.35)


def tabs():
    print("material,grain_deg,span,width,height,thickness,reach_in_t,axial,shear,turn,up,tilt,twist,axial_free,shear_free,tilt_free,twist_free")
    for times, widths in ((2, (1.5, 3.0, 5.0, 8.0)), (5, (1.5, 5.0))):
        for t in (3.0, 6.0):
            for span in SPANS:
                for w in widths:
                    for h in sorted({0.6, 1.5, 3.0, t} if times == 2 else {0.6, 1.5}):
                        for name, m, deg in CASES:
                            row(name, m, deg, span, w, h, t, times * t)
    for span, w in ((1.5875, 3.0), (3.175, 3.0), (3.175, 5.0), (6.35, 8.0)):
        for h in (0.6 if w == 3.0 else 1.5, 3.0):
            row("maple", MAPLE, 45, span, w, h, 3.0, 6.0)


def floor():
    print("material,grain_deg,span,height,thickness,axial,shear,up")
    for t in (3.0, 6.0):
        for span in SPANS:
            for h in (0.2, 0.4, 0.8, 1.5):
                for name, m, deg in CASES:
                    strip_row(name, m, deg, span, h, t)


if __name__ == "__main__":
    floor() if "floor" in sys.argv else tabs()
