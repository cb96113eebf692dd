"""Makes seeded random DXF drawings with the library ezdxf, and says for each entity, on a layer of its
own, where ezdxf draws it: inserts taken apart, curves in fine chords, in whole nanometres.

Usage: dxf_draw.py FOLDER SEED COUNT [DRAWING...]
Standard output: {"file": {"layer": [[[x, y], ...], ...]}}
"""
import json
import math
import random
import sys

import ezdxf
from ezdxf.math import Matrix44

CHORD = 3e-4  # mm, how far a chord of the answer may stray


def pieces(e, m, size):
    """The simple entities that an entity consists of, each with the matrix from where it stands to the
    drawing and the largest of the scales on the way. The matrix of an insert is ezdxf's. Inserts within
    inserts are the product of theirs: ezdxf's own way of taking those apart loses the slant that they
    get from unequal scales."""
    kind = e.dxftype()
    if kind == "INSERT":
        for i in e.multi_insert() if e.mcount > 1 else [e]:
            for part in i.block():
                yield from pieces(part, i.matrix44() * m, size * max(abs(i.dxf.xscale), abs(i.dxf.yscale)))
    elif kind in ("POLYLINE", "LWPOLYLINE"):
        for part in e.virtual_entities():
            yield part, m, size
    elif kind in ("LINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"):
        yield e, m, size


def flat(e, m, size):
    """The corners of a simple entity in chords, in nanometres."""
    kind = e.dxftype()
    d = CHORD / size
    if kind == "LINE":
        pts = [e.dxf.start, e.dxf.end]
    elif kind in ("ARC", "CIRCLE"):
        if e.dxf.radius < 3 * d:
            return None
        pts = e.flattening(d)
    elif kind == "ELLIPSE":
        # Not by ezdxf's flattening, which looks at the middles of chords and misses the tips of thin ones.
        turn = (e.dxf.end_param - e.dxf.start_param) % (2 * math.pi) or 2 * math.pi
        pts = e.vertices(e.params(max(9, math.ceil(turn / math.sqrt(8 * d / e.dxf.major_axis.magnitude)) + 1)))
    else:
        pts = spline(e.construction_tool(), d)
    return [(round(p.x * 1e6), round(p.y * 1e6)) for p in m.transform_vertices(pts)]


def spline(c, d):
    """Places along a spline, so close that chords stray by no more than d. Places are ezdxf's, but not the
    choice of them: its flattening looks at the middles of chords only, and misses bends of curves whose
    weights differ much."""
    knots = list(c.knots())
    ends = sorted(set(knots[c.order - 1:c.count + 1]))

    def near(p, a, b):
        along = b - a
        size = along.magnitude
        if size < d:
            return p.distance(a) < d
        t = min(1, max(0, (p - a).dot(along) / size ** 2))
        return p.distance(a + along * t) < d

    def halve(s, t, a, b):
        inner = [c.point(s + (t - s) * k / 4) for k in (1, 2, 3)]
        if all(near(p, a, b) for p in inner):
            yield b
        else:
            yield from halve(s, (s + t) / 2, a, inner[1])
            yield from halve((s + t) / 2, t, inner[1], b)

    last = c.point(ends[0])
    yield last
    for s, t in zip(ends, ends[1:]):
        for k in range(8):
            u, v = s + (t - s) * k / 8, s + (t - s) * (k + 1) / 8
            p = c.point(v)
            yield from halve(u, v, last, p)
            last = p


def drawn(entities, scale):
    """The lines of each layer."""
    out = {}
    for e in entities:
        for part, m, size in pieces(e, Matrix44.scale(scale), scale):
            pts = flat(part, m, size)
            if pts:
                out.setdefault(e.dxf.layer, []).append(pts)
    return out


def number(r, size):
    """A coordinate as drawings have them: round, in tenths, or with all digits."""
    v = r.uniform(-size, size)
    return r.choice([round(v), round(v, 1), round(v, 4), v])


def place(r, size):
    return (number(r, size), number(r, size))


def knots(r, count, degree):
    """Knots that rise by uneven steps, some of them twice, clamped at both ends."""
    inner = sorted(r.choice([0.25, 0.5, 0.75, r.random()]) for _ in range(count - degree - 1))
    for i in range(degree, len(inner)):  # none more often than the degree
        if inner[i] <= inner[i - degree]:
            inner[i] = inner[i - 1] + 1e-3
    return [0.0] * (degree + 1) + [k / (1 + 1e-2) for k in inner] + [1.0] * (degree + 1)


BELOW = {"extrusion": (0, 0, -1)}


def shapes(r, new, layer, size, old, extrude=True):
    """Draws one entity."""
    at = {"layer": layer}
    ocs = dict(at, **BELOW) if extrude and r.random() < 0.25 else at
    kinds = ["line", "arc", "circle", "polyline"] + ([] if old else ["lwpolyline"] * 3 + ["ellipse"] * 3 + ["spline"] * 4)
    kind = r.choice(kinds)
    if kind == "line":
        new.add_line(place(r, size), place(r, size), dxfattribs=at)
    elif kind == "arc":
        angles = [r.choice([0, 30, 90, 180, 270, 359.5, r.uniform(-400, 400)]) for _ in range(2)]
        if (angles[1] - angles[0]) % 360 < 0.01:
            angles[1] += 100
        new.add_arc(place(r, size), r.uniform(0.01, size), *angles, dxfattribs=ocs)
    elif kind == "circle":
        new.add_circle(place(r, size), r.uniform(0.01, size), dxfattribs=ocs)
    elif kind in ("polyline", "lwpolyline"):
        pts = [place(r, size) + (r.choice([0, 0, 1, -1, 0.4142135623730951, r.uniform(-3, 3), r.uniform(-1, 1) * 10 ** r.uniform(-6, 1)]),)
               for _ in range(r.randint(2, 7))]
        closed = r.random() < 0.5
        if kind == "polyline":
            new.add_polyline2d(pts, format="xyb", close=closed, dxfattribs=ocs)
        else:
            new.add_lwpolyline(pts, format="xyb", close=closed, dxfattribs=ocs)
    elif kind == "ellipse":
        start, end = (0, 2 * math.pi) if r.random() < 0.4 else (r.uniform(-7, 7), r.uniform(-7, 7))
        axis = place(r, size)
        if math.hypot(*axis) < 0.1:
            axis = (1, 2)
        new.add_ellipse(place(r, size), axis, r.choice([1, 0.5, 1e-3, r.uniform(0.01, 1)]), start, end, dxfattribs=ocs)
    else:
        degree = r.choice([1, 2, 3, 3, 3, 4, 5])
        count = degree + r.randint(1, 8)
        pts = [(x + i / 1024, y, 0) for i, (x, y) in enumerate(place(r, size) for _ in range(count))]
        weights = [r.choice([1, 0.5, 2, r.uniform(0.05, 20)]) for _ in range(count)]
        how = r.randrange(6)
        if how == 0:
            new.add_open_spline(pts, degree, dxfattribs=at)
        elif how == 1:
            new.add_open_spline(pts, degree, knots=knots(r, count, degree), dxfattribs=at)
        elif how == 2:
            new.add_rational_spline(pts, weights, degree, knots=knots(r, count, degree), dxfattribs=at)
        elif how == 3:
            new.add_spline(dxfattribs=at).set_closed(pts, degree)
        elif how == 4:
            new.add_spline(dxfattribs=at).set_closed_rational(pts, weights, degree)
        else:
            new.add_cad_spline_control_frame([(x + 3 * i, y + i * i / 7, 0) for i, (x, y, _) in enumerate(pts[:6])], dxfattribs=at)


def insert(r, new, name, layer, size, even, repeat):
    """Draws one insert of a block."""
    at = {"layer": layer, "rotation": r.choice([0, 0, 90, 180, 45, r.uniform(-400, 400)])}
    s = r.choice([1, 1, 2, 0.5, r.uniform(0.2, 2)])
    t = s if even else r.choice([s, r.uniform(0.2, 2)])
    at["xscale"], at["yscale"] = s * r.choice([1, -1]), t * r.choice([1, -1])
    at["zscale"] = s
    if r.random() < 0.25:
        at.update(BELOW)
    if r.random() < repeat:
        at.update(row_count=r.randint(1, 2), column_count=r.randint(1, 3), row_spacing=number(r, size), column_spacing=number(r, size))
    new.add_blockref(name, place(r, size), dxfattribs=at)


def draw(r, version, count):
    old = version == "R12"
    doc = ezdxf.new(version)
    doc.units = r.choice([1, 4, 5])
    size = {1: 0.5, 4: 10, 5: 1}[doc.units]
    names = []
    for i in range(6):
        b = doc.blocks.new("part%d" % i, base_point=r.choice([(0, 0), place(r, size)]))
        for _ in range(2):
            shapes(r, b, "0", size / 3, old)
        for _ in range(min(i, 1 + i % 2)):
            insert(r, b, r.choice(names), "0", size / 3, even=r.random() < 0.7, repeat=0)
        names.append("PART%d" % i if r.random() < 0.5 else "part%d" % i)
    m = doc.modelspace()
    for i in range(count):
        if i % 3:
            shapes(r, m, "case%d" % i, size, old)
        else:
            insert(r, m, r.choice(names), "case%d" % i, size, even=r.random() < 0.5, repeat=0.2)
    return doc


def main():
    folder, seed, count = sys.argv[1], int(sys.argv[2]), int(sys.argv[3])
    out = {}
    for k, version in enumerate(["R12", "R2000", "R2010", "R2018"]):
        name = "%s/%s.dxf" % (folder, version)
        draw(random.Random(seed * 10 + k), version, count).saveas(name)
        doc = ezdxf.readfile(name)
        unit = int(doc.header.get("$INSUNITS", 4))
        out[name] = drawn(doc.modelspace(), {1: 25.4, 4: 1, 5: 10}[unit])
    for name in sys.argv[4:]:
        out[name] = drawn(ezdxf.readfile(name).modelspace(), 1)
    json.dump(out, sys.stdout)


main()
