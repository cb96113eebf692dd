// Answers overlay and offset jobs with the library of Debian's package libpolyclipping-dev.
//
// Standard input is a row of 64-bit numbers, as for geos.py; so is what goes to standard output.
#include <polyclipping/clipper.hpp>

#include <chrono>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstring>
#include <iostream>
#include <iterator>
#include <map>
#include <vector>

using namespace ClipperLib;

static std::vector<int64_t> data;
static size_t at = 0;
static int64_t take() { return data.at(at++); }

static Paths polygons() {
    Paths out;
    for (int64_t n = take(); n > 0; n--)
        for (int64_t rings = take(); rings > 0; rings--) {
            Path p;
            for (int64_t k = take(); k > 0; k--) {
                int64_t x = take(), y = take();
                p.push_back(IntPoint(x, y));
            }
            out.push_back(p);
        }
    return out;
}

struct Count {
    double area = 0;
    long pieces = 0, holes = 0, smallPieces = 0, smallHoles = 0;

    void ring(const Path &p, double bound) {
        double a = Area(p);
        area += a;
        if (a > 0) {
            pieces++, smallPieces += a < bound;
        } else if (a < 0) {
            holes++, smallHoles += -a < bound;
        }
    }

    // The library's rings may touch themselves; its own way to split them (StrictlySimple) does not
    // come to an end on some inputs. So they are split here wherever they come back to a corner.
    void split(const Path &p, double bound) {
        std::map<std::pair<cInt, cInt>, size_t> seen;
        Path way;
        for (const IntPoint &q : p) {
            auto at = seen.find({q.X, q.Y});
            if (at != seen.end()) {
                ring(Path(way.begin() + at->second, way.end()), bound);
                for (size_t i = at->second + 1; i < way.size(); i++) seen.erase({way[i].X, way[i].Y});
                way.resize(at->second + 1);
                continue;
            }
            seen[{q.X, q.Y}] = way.size();
            way.push_back(q);
        }
        ring(way, bound);
    }
};

static PolyTree *clip(ClipType type, const Paths &a, const Paths &b) {
    Clipper c;
    c.AddPaths(a, ptSubject, true);
    c.AddPaths(b, ptClip, true);
    auto *t = new PolyTree;
    c.Execute(type, *t, pftNonZero, pftNonZero);
    return t;
}

int main() {
    std::string raw(std::istreambuf_iterator<char>(std::cin), {});
    data.resize(raw.size() / 8);
    memcpy(data.data(), raw.data(), data.size() * 8);
    for (int64_t jobs = take(); jobs > 0; jobs--) {
        int64_t op = take(), apart = take(), reps = take(), d = take(), join = take(), chord = take(), bound = take();
        (void)apart;
        take();
        Paths a = polygons(), b = polygons();
        polygons();
        double best = INFINITY;
        PolyTree *t = nullptr;
        for (int64_t i = 0; i < reps; i++) {
            auto begin = std::chrono::steady_clock::now();
            delete t;
            if (op == 4) {
                ClipperOffset o(1000, double(chord));
                o.AddPaths(a, join == 0 ? jtRound : jtMiter, etClosedPolygon);
                t = new PolyTree;
                o.Execute(*t, double(d));
            } else if (op == 5) {
                Paths r = a;
                for (const Path &p : b) {
                    PolyTree *one = clip(ctDifference, r, Paths{p});
                    PolyTreeToPaths(*one, r);
                    delete one;
                }
                t = clip(ctUnion, r, Paths{});
            } else {
                t = clip(op == 0 ? ctUnion : op == 1 ? ctIntersection : op == 2 ? ctDifference : ctXor, a, b);
            }
            best = std::min(best, std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
        }
        Count n;
        Paths rings;
        ClosedPathsFromPolyTree(*t, rings);
        for (const Path &p : rings) n.split(p, double(bound));
        printf("%.6f %.17g %ld %ld %ld %ld -1\n", best * 1e3, n.area, n.pieces, n.holes, n.smallPieces, n.smallHoles);
        fflush(stdout);
        delete t;
    }
}
