"""Reads DXF files strictly with ezdxf and prints what they hold, measured, as JSON: one object for each file."""

import json
import math
import sys

import ezdxf
from ezdxf import path
from ezdxf.math import bulge_radius


def measured(polyline):
    """Box and area along the arcs themselves."""
    corners = [v.dxf.location.vec2 for v in polyline.vertices]
    bulges = [v.dxf.bulge for v in polyline.vertices]
    if polyline.is_closed:
        corners.append(corners[0])
    area = 0.0
    for start, end, bulge in zip(corners, corners[1:], bulges):
        area += start.det(end) / 2
        if bulge:
            # what lies between an arc and its chord
            angle = 4 * math.atan(bulge)
            area += bulge_radius(start, end, bulge) ** 2 * (angle - math.sin(angle)) / 2
    box = path.bbox([path.make_path(polyline)])
    return {
        "layer": polyline.dxf.layer,
        "closed": polyline.is_closed,
        "corners": len(polyline.vertices),
        "bent": sum(bulge != 0 for bulge in bulges),
        "box": [box.extmin.x, box.extmin.y, box.extmax.x, box.extmax.y],
        "area": area,
        "shortest": min(start.distance(end) for start, end in zip(corners, corners[1:])),
    }


def read(name):
    document = ezdxf.readfile(name)
    auditor = document.audit()
    space = document.modelspace()
    return {
        "version": document.dxfversion,
        "complaints": [entry.message for entry in auditor.errors + auditor.fixes],
        "units": document.header["$INSUNITS"],
        "measurement": document.header["$MEASUREMENT"],
        "extent": list(document.header["$EXTMIN"])[:2] + list(document.header["$EXTMAX"])[:2],
        "colours": {layer.dxf.name: layer.color for layer in document.layers},
        "others": sum(entity.dxftype() != "POLYLINE" for entity in space),
        "polylines": [measured(entity) for entity in space.query("POLYLINE")],
    }


json.dump([read(name) for name in sys.argv[1:]], sys.stdout)
