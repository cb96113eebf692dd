# Answers overlay and offset jobs with GEOS, through shapely (Debian package python3-shapely).
#
# Standard input is a row of 64-bit numbers, least byte first: the number of jobs, then each job as
# described in oracle_test.go. One line a job goes to standard output.
import sys, time, array, math
from shapely.geometry import Polygon, MultiPolygon
from shapely.ops import unary_union
from shapely.validation import explain_validity

data = array.array("q")
data.frombytes(sys.stdin.buffer.read())
at = 0


def take():
    global at
    at += 1
    return data[at - 1]


def polygons(must=False):
    # Rings that touch or cross themselves are put in order first: by buffer(0), which goes by how often
    # a ring runs round. (make_valid loses areas that double edges and holes shut in between them.) Not
    # so those of a result: they must be in order.
    out = []
    global at
    for _ in range(take()):
        rings = []
        for _ in range(take()):
            n = take()
            xy = data[at : at + 2 * n]
            at += 2 * n
            rings.append(list(zip(xy[0::2], xy[1::2])))
        p = Polygon(rings[0], rings[1:])
        out.extend([p] if must or p.is_valid else parts(p.buffer(0)))
    if must and not MultiPolygon(out).is_valid:
        sys.exit("job %d of %d: the result compared with: %s" % (job + 1, jobs, explain_validity(MultiPolygon(out))))
    return out


def parts(g):
    if g.geom_type == "Polygon":
        return [] if g.is_empty else [g]
    return [p for q in g.geoms for p in parts(q)] if hasattr(g, "geoms") else []


def many(p):
    return p[0] if len(p) == 1 else MultiPolygon(p)


jobs = take()
for job in range(jobs):
    op, apart, reps, d, join, chord, bound, compare = (take() for _ in range(8))
    a, b, ours = polygons(), polygons(), polygons(must=True)

    # What is not the operation itself is not measured: making collections, letting go of the result before.
    x, y = many(a) if op else None, many(b) if apart else None

    def work():
        if op == 0:
            return unary_union(a)
        if op == 4:
            turn = math.acos(max(0.0, 1 - chord / abs(d)))
            quarter = max(2, math.ceil(math.pi / 4 / turn))
            return x.buffer(d, resolution=quarter, join_style=1 + join, mitre_limit=1000)
        if op == 5:  # one after another
            r = x
            for p in b:
                r = r.difference(p)
            return r
        if op == 6:  # what a disc reaches: made smaller and larger again, all joins round
            turn = math.acos(max(0.0, 1 - chord / abs(d)))
            quarter = max(2, math.ceil(math.pi / 4 / turn))
            return unary_union(a).buffer(-d, resolution=quarter).buffer(d, resolution=quarter)
        z = y if apart else unary_union(b)
        if op == 7:  # the distance, in place of the area
            return x.distance(z)
        return x.intersection(z) if op == 1 else x.difference(z) if op == 2 else x.symmetric_difference(z)

    best = math.inf
    for _ in range(reps):
        r = None
        t = time.perf_counter()
        r = work()
        best = min(best, time.perf_counter() - t)
    if op == 7:
        print(repr(best * 1e3), repr(float(r)), 0, 0, 0, 0, -1.0, flush=True)
        continue
    pieces = parts(r)
    holes = [Polygon(h).area for p in pieces for h in p.interiors]
    areas = [Polygon(p.exterior).area for p in pieces]
    diff = -1.0
    if compare:
        diff = r.symmetric_difference(many(ours)).area
    print(
        repr(best * 1e3), repr(float(r.area)), len(areas), len(holes),
        sum(v < bound for v in areas), sum(v < bound for v in holes), repr(diff),
        flush=True,
    )
