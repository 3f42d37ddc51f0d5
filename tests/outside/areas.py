"""Reads outlines as flattened contours, and prints what shapely makes of them.

In: {"shapes": [{"name", "contours": [[[x, y], ...], ...]}, ...], "radius": r, "pairs": [[i, j], ...]}, lengths in mm, each
shape's contours filled by the non-zero rule. Out: for each shape its area, islands and holes, and its area grown and shrunk by
r; for each pair the distance; for all shapes together area, islands and holes.
"""

import json
import sys

import shapely
from shapely.ops import polygonize, unary_union


def winding(contours, x, y):
    """How often the contours go round a place, with their sense."""
    total = 0
    for contour in contours:
        for (x0, y0), (x1, y1) in zip(contour, contour[1:] + contour[:1]):
            if (y0 <= y) != (y1 <= y) and x < x0 + (y - y0) / (y1 - y0) * (x1 - x0):
                total += 1 if y1 > y0 else -1
    return total


def filled(contours):
    """Cuts the plane along all contours and keeps the faces that they go round: the non-zero rule by definition."""
    lines = unary_union([shapely.LinearRing(contour) for contour in contours])
    faces = list(polygonize(lines))
    inside = [face.representative_point() for face in faces]
    return unary_union([f for f, p in zip(faces, inside) if winding(contours, p.x, p.y) != 0])


def counts(shape):
    parts = [part for part in getattr(shape, "geoms", [shape]) if not part.is_empty]
    return {
        "area": shape.area,
        "islands": len(parts),
        "holes": sum(len(part.interiors) for part in parts),
    }


def main():
    with open(sys.argv[1], encoding="utf-8") as file:
        job = json.load(file)
    shapes = [filled(shape["contours"]) for shape in job["shapes"]]
    radius = job["radius"]
    out = {
        "shapes": [
            counts(shape)
            | {
                "grown": shape.buffer(radius, quad_segs=64).area,
                "shrunk": shape.buffer(-radius, quad_segs=64).area,
            }
            for shape in shapes
        ],
        "pairs": [shapes[a].distance(shapes[b]) for a, b in job["pairs"]],
        "all": counts(unary_union(shapes)),
    }
    json.dump(out, sys.stdout)


main()
