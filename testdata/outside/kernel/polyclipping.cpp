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

    // The library's rings may touch themselves and each other; its own way to split them
    // (StrictlySimple) does not come to an end on some inputs. So here all are walked anew, at each
    // corner turning as far to the left as there is a way, and split where a walk comes back to a corner.
    void all(const Paths &rings, double bound) {
        typedef std::pair<cInt, cInt> Spot;
        std::map<Spot, std::vector<Spot>> ways;
        for (const Path &p : rings)
            for (size_t i = 0; i < p.size(); i++) {
                const IntPoint &u = p[i], &v = p[(i + 1) % p.size()];
                if (u != v) ways[{u.X, u.Y}].push_back({v.X, v.Y});
            }
        for (auto &start : ways)
            while (!start.second.empty()) {
                Spot u = start.first, v = start.second.back();
                start.second.pop_back();
                std::vector<Spot> way{u};
                std::map<Spot, size_t> seen{{u, 0}};
                for (;;) {
                    auto at = seen.find(v);
                    if (at != seen.end()) {
                        Path loop;
                        for (size_t i = at->second; i < way.size(); i++) loop.push_back(IntPoint(way[i].first, way[i].second));
                        ring(loop, bound);
                        for (size_t i = at->second + 1; i < way.size(); i++) seen.erase(way[i]);
                        way.resize(at->second + 1);
                        if (at->second == 0 && ways[v].empty()) break;
                    } else {
                        seen[v] = way.size();
                        way.push_back(v);
                    }
                    std::vector<Spot> &out = ways[v];
                    if (out.empty()) break;
                    // The first way clockwise from that back to u.
                    size_t best = 0;
                    Spot back{u.first - v.first, u.second - v.second};
                    auto before = [&](const Spot &p, const Spot &q) { // p is met before q, turning clockwise from back
                        auto later = [&](const Spot &d) { __int128 c = (__int128)back.first * d.second - (__int128)back.second * d.first;
                            __int128 t = (__int128)back.first * d.first + (__int128)back.second * d.second;
                            return c < 0 ? 0 : c > 0 ? 2 : t < 0 ? 1 : 3; };
                        Spot d{p.first - v.first, p.second - v.second}, e{q.first - v.first, q.second - v.second};
                        int i = later(d), k = later(e);
                        if (i != k) return i < k;
                        return (__int128)d.first * e.second - (__int128)d.second * e.first < 0;
                    };
                    for (size_t i = 1; i < out.size(); i++)
                        if (before(out[i], out[best])) best = i;
                    u = v;
                    v = out[best];
                    out.erase(out.begin() + best);
                }
            }
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
            delete t;
            auto begin = std::chrono::steady_clock::now();
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
        // The library may leave polygons apart that share an edge; its own union of its result joins
        // them.
        for (int again = 0; bound > 0 && again < 3; again++) {
            PolyTree *u = clip(ctUnion, rings, Paths{});
            ClosedPathsFromPolyTree(*u, rings);
            delete u;
        }
        n.all(rings, double(bound));
        printf("%.6f %.17g %ld %ld %ld %ld -1\n", best * 1e3, n.area, n.pieces, n.holes, n.smallPieces, n.smallHoles);
        fflush(stdout);
        delete t;
    }
}
