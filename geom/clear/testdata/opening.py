"""Checks narrow places against polygon opening by GEOS (through shapely).

Reads one JSON object a line: rings of a part as points (outer first), the side,
the limit and the narrow places found. Prints one line for each disagreement.
Opening is erosion and dilation by a disc, here buffer(-r).buffer(r).
"""
import json
import math
import sys

from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import linemerge

RES = 48  # chords a quarter circle


def opening(region, r):
    return region.buffer(-r, RES).buffer(r, RES)


def parts(g):
    return [p for p in getattr(g, "geoms", [g]) if p.geom_type == "Polygon" and not p.is_empty]


def chains(component, region, tol):
    """Stretches of the region's boundary that bound the component."""
    shared = component.boundary.intersection(region.boundary.buffer(tol))
    lines = [l for l in getattr(shared, "geoms", [shared]) if l.geom_type == "LineString" and l.length > 10 * tol]
    if not lines:
        return []
    merged = linemerge(lines) if len(lines) > 1 else lines[0]
    return list(getattr(merged, "geoms", [merged]))


def corner_angle_ok(chain, opened):
    """True unless the deepest point of a dead end is the tip of an acute corner."""
    pts = list(chain.coords)
    deep = max(range(len(pts)), key=lambda i: opened.distance(Point(pts[i])))
    if deep in (0, len(pts) - 1):
        return False
    (ax, ay), (bx, by), (cx, cy) = pts[deep - 1], pts[deep], pts[deep + 1]
    a = math.atan2(ay - by, ax - bx) - math.atan2(cy - by, cx - bx)
    a = abs((a + math.pi) % (2 * math.pi) - math.pi)
    return a > math.radians(35)


def at_vertex(p, rings):
    return any(abs(p[0] - x) + abs(p[1] - y) < 1e-4 for ring in rings for x, y in ring)


def between_corners(f, rings):
    x0, y0, x1, y1 = f["Box"]
    here = [p for ring in rings for p in ring if x0 - 0.1 < p[0] < x1 + 0.1 and y0 - 0.1 < p[1] < y1 + 0.1]
    return any(abs(math.dist(p, q) - f["Width"]) < 1e-6 for p in here for q in here)


def check(case):
    out = []
    part = Polygon(case["rings"][0], case["rings"][1:])
    if not part.is_valid:
        return ["invalid part"]
    limit, r = case["limit"], case["limit"] / 2
    region = part
    if case["side"] == "waste":
        x0, y0, x1, y1 = part.bounds
        m = 4 * limit
        region = box(x0 - m, y0 - m, x1 + m, y1 + m).difference(part)
    opened = opening(region, r)
    found = case["narrow"]
    for f in found:
        # A corner that sticks into the region may be covered from its other side.
        ends = [Point(f[k]) for k in ("A", "B") if not at_vertex(f[k], case["rings"])]
        for p in ends:
            if f["Width"] < limit - 0.05 and opened.distance(p) == 0:
                out.append("covered but reported: %s" % f)
            # In an acute tip the width is that of its mouth.
            if f["Width"] > 0.1 and math.dist(f["A"], f["B"]) > f["Width"] - 1e-6 \
                    and opening(region, f["Width"] / 2 - 0.01).distance(p) > 0.01:
                out.append("narrower than reported: %s" % f)
        x0, y0, x1, y1 = f["Box"]
        left = region.difference(opening(region, f["Width"] / 2 + 0.02).buffer(1e-3))
        # A web between two corners is covered from both sides though nothing passes.
        if not between_corners(f, case["rings"]) and not left.intersects(box(x0 - 0.1, y0 - 0.1, x1 + 0.1, y1 + 0.1)):
            out.append("wider than reported: %s" % f)
    left = region.difference(opened.buffer(2e-3))
    for c in parts(left):
        ch = chains(c, region, 1e-4)
        depth = max((opened.distance(Point(p)) for p in c.exterior.coords), default=0)
        if depth < 0.03:
            continue
        near = [f for f in found if c.distance(Point(f["A"])) < 0.02 or c.distance(Point(f["B"])) < 0.02
                or (c.distance(box(*f["Box"])) < 0.02 and len(ch) == 1)]
        if near:
            continue
        at = c.representative_point()
        if len(ch) >= 2:
            out.append("passage not reported at %.3f %.3f depth %.3f chains %d" % (at.x, at.y, depth, len(ch)))
        elif len(ch) == 1 and depth > max(2.9 * r, limit if case["side"] == "material" else 0) \
                and corner_angle_ok(ch[0], opened):
            out.append("dead end not reported at %.3f %.3f depth %.3f" % (at.x, at.y, depth))
    return out


for number, line in enumerate(sys.stdin):
    for problem in check(json.loads(line)):
        print(number, problem)
