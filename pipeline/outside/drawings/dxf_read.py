"""Reads a DXF file with the library ezdxf, and says as JSON what it holds: what the audit finds wrong, the unit, the
layers, and every dimension as it can be measured, with what it says of itself.

Usage: dxf_read.py FILE
"""
import json
import sys

import ezdxf
from ezdxf.lldxf.encoding import decode_dxf_unicode

APP = "PANELWRIGHT"


def own(e):
    """The entity's own data: facts, value, times."""
    if not e.has_xdata(APP):
        return None
    facts, value, times, inside = [], None, 1, None
    for code, v in e.get_xdata(APP):
        if code == 1002:
            if v == "{":
                inside = []
            else:
                facts.append(inside)
                inside = None
        elif code == 1000 and inside is not None:
            inside.append(decode_dxf_unicode(v))
        elif code == 1040:
            value = v
        elif code == 1070:
            times = v
    return {"facts": facts, "value": value, "times": times}


def stated(e, text, kind):
    out = own(e) or {"facts": [], "value": None, "times": 1}
    out.update(text=decode_dxf_unicode(text), layer=e.dxf.layer, kind=kind)
    return out


KINDS = {0: "linear", 1: "aligned", 3: "diameter", 4: "radius", 5: "angle", 6: "ordinate"}


def dimension(e, doc):
    kind = KINDS.get(e.dimtype, str(e.dimtype))
    out = stated(e, e.dxf.text, kind)
    m = e.get_measurement()
    if kind == "ordinate":
        along_x = bool(e.dxf.dimtype & 64)
        out["kind"] += " x" if along_x else " y"
        m = m.x if along_x else m.y
    if kind != "angle":
        m *= e.override().get("dimlfac", 1)
    out["measured"] = m
    out["actual"] = e.dxf.get("actual_measurement", None)
    block = e.get_geometry_block()
    out["drawn"] = sorted(p.dxftype() for p in block) if block is not None else []
    texts = [decode_dxf_unicode(p.dxf.text) for p in block.query("TEXT")] if block is not None else []
    out["drawn_text"] = texts[0] if texts else ""
    return out


doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
space = doc.modelspace()
kinds = {}
for e in space:
    key = e.dxf.layer + " " + e.dxftype()
    kinds[key] = kinds.get(key, 0) + 1
json.dump({
    "version": doc.dxfversion,
    "unit": doc.units,
    "errors": ["%s: %s" % (e.code, e.message) for e in audit.errors + audit.fixes],
    "layers": sorted(l.dxf.name for l in doc.layers),
    "entities": kinds,
    "dimensions": [dimension(e, doc) for e in space.query("DIMENSION")],
    "notes": [stated(e, e.dxf.text, "note") for e in space.query("TEXT") if e.has_xdata(APP) and e.dxf.layer != "tables"],
    "cells": [stated(e, e.dxf.text, "cell") for e in space.query("TEXT") if e.has_xdata(APP) and e.dxf.layer == "tables"],
    "texts": [decode_dxf_unicode(e.dxf.text) for e in space.query("TEXT")],
}, sys.stdout)
