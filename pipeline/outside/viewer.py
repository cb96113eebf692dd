# The drawing part of the layer viewer gerbv as a service for tests: the program reads its files anew
# for every picture, this reads them once for many. It is the same code that draws: the program's own
# library (libgerbv, in the same Debian package), called as the program calls it. TestLibraryDrawsAsTheProgram
# holds the two against each other, bit by bit.
#
# On standard input, one JSON object a line:
#
#   {"files": [path, ...], "quarters": 0-3, "dpi": 1000, "windows": [{"x": mm, "y": mm, "w": px, "h": px}, ...]}
#
# On standard output, for each of them one line of JSON, {"error": text} or {"words": 64-bit words of a
# row, for each window}, and then the pictures: rows from above, 64-bit little-endian words, the
# lowest bit is the leftmost pixel. Files that cannot be read or drawn are an error.
import ctypes
import json
import math
import os
import sys

import numpy

gerbv = ctypes.CDLL("libgerbv.so.1")
cairo = ctypes.CDLL("libcairo.so.2")
glib = ctypes.CDLL("libglib-2.0.so.0")


class Color(ctypes.Structure):
    _fields_ = [("pixel", ctypes.c_uint32), ("red", ctypes.c_uint16), ("green", ctypes.c_uint16), ("blue", ctypes.c_uint16)]


class Transform(ctypes.Structure):
    _fields_ = [(n, ctypes.c_double) for n in ("tx", "ty", "sx", "sy", "rotation")] + [(n, ctypes.c_int) for n in ("mx", "my", "inverted")]


class File(ctypes.Structure):
    _fields_ = [
        ("image", ctypes.c_void_p), ("color", Color), ("alpha", ctypes.c_uint16), ("visible", ctypes.c_int),
        ("render", ctypes.c_void_p), ("path", ctypes.c_char_p), ("name", ctypes.c_char_p), ("transform", Transform), ("dirty", ctypes.c_int),
    ]


class Project(ctypes.Structure):
    _fields_ = [
        ("background", Color), ("max_files", ctypes.c_int), ("file", ctypes.POINTER(ctypes.POINTER(File))),
        ("current", ctypes.c_int), ("last", ctypes.c_int),
    ]  # more follows, which the library alone touches


class Scene(ctypes.Structure):
    _fields_ = [(n, ctypes.c_double) for n in ("sx", "sy", "x", "y")] + [(n, ctypes.c_int) for n in ("kind", "w", "h", "cross")]


HARD_PIXELS = 2  # drawing without smoothed edges
ARGB32 = 0

gerbv.gerbv_create_project.restype = ctypes.POINTER(Project)
gerbv.gerbv_open_layer_from_filename_with_color.argtypes = [ctypes.POINTER(Project), ctypes.c_char_p] + 4 * [ctypes.c_uint16]
gerbv.gerbv_unload_all_layers.argtypes = [ctypes.POINTER(Project)]
gerbv.gerbv_destroy_project.argtypes = [ctypes.POINTER(Project)]
gerbv.gerbv_render_all_layers_to_cairo_target.argtypes = [ctypes.POINTER(Project), ctypes.c_void_p, ctypes.POINTER(Scene)]
for f in ("cairo_image_surface_create", "cairo_create", "cairo_image_surface_get_data"):
    getattr(cairo, f).restype = ctypes.c_void_p
for f in ("cairo_create", "cairo_destroy", "cairo_status", "cairo_surface_flush", "cairo_surface_destroy", "cairo_image_surface_get_data", "cairo_image_surface_get_stride"):
    getattr(cairo, f).argtypes = [ctypes.c_void_p]

said = []
SAY = ctypes.CFUNCTYPE(None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_void_p)
# What the program says about a file that it does not draw; of attributes it complains, too.
BAD = ("Could not read", "Exporting error", "Unknown file type", "not recognized", "out of bounds")


def say(domain, level, text, data):
    text = text.decode("utf-8", "replace")
    if any(b in text for b in BAD):
        said.append(text)


say = SAY(say)
glib.g_log_set_default_handler.argtypes = [SAY, ctypes.c_void_p]
glib.g_log_set_default_handler(say, None)


def inches(mm):
    """In single precision, as the program takes it: a two-thousandth of a pixel at most."""
    return numpy.float32(float(numpy.float32(mm)) / 25.4)


def draw(project, dpi, window):
    w, h = window["w"], window["h"]
    scene = Scene(dpi, dpi, inches(window["x"]), inches(window["y"]), HARD_PIXELS, w, h, 0)
    surface = cairo.cairo_image_surface_create(ARGB32, w, h)
    target = cairo.cairo_create(surface)
    gerbv.gerbv_render_all_layers_to_cairo_target(project, target, ctypes.byref(scene))
    status = cairo.cairo_status(target)
    cairo.cairo_surface_flush(surface)
    stride = cairo.cairo_image_surface_get_stride(surface)
    data = (ctypes.c_uint8 * (stride * h)).from_address(cairo.cairo_image_surface_get_data(surface))
    pixels = numpy.frombuffer(data, numpy.uint32).reshape(h, stride // 4)[:, :w]
    pixels = pixels & 0xFFFFFF
    white = pixels == 0xFFFFFF
    plain = numpy.count_nonzero(white) == numpy.count_nonzero(pixels)
    words = (w + 63) // 64
    rows = numpy.zeros((h, 8 * words), numpy.uint8)
    rows[:, : (w + 7) // 8] = numpy.packbits(white, axis=1, bitorder="little")
    cairo.cairo_destroy(target)
    cairo.cairo_surface_destroy(surface)
    if status:
        raise RuntimeError("the viewer's drawing failed with status %d" % status)
    if not plain:
        raise RuntimeError("a pixel is neither black nor white")
    return words, rows.tobytes()


class Loaded:
    """The files read last: the next job is often about the same ones."""

    def __init__(self):
        self.key = self.project = None

    def files(self, names):
        try:
            key = [(n, os.stat(n).st_mtime_ns, os.stat(n).st_size) for n in names]
        except OSError as e:
            raise RuntimeError("the viewer could not draw %s: %s" % (names, e))
        if key == self.key:
            return self.project
        self.drop()
        self.project = gerbv.gerbv_create_project()
        self.project.contents.background = Color(0, 0, 0, 0)
        for n in names:
            gerbv.gerbv_open_layer_from_filename_with_color(self.project, n.encode(), 65535, 65535, 65535, 65535)
        if said or self.project.contents.last + 1 != len(names):
            raise RuntimeError("the viewer could not draw %s: %s" % (names, said))
        self.key = key
        return self.project

    def drop(self):
        if self.project:
            gerbv.gerbv_unload_all_layers(self.project)
            gerbv.gerbv_destroy_project(self.project)
        self.key = self.project = None


loaded = Loaded()


def answer(job):
    try:
        project = loaded.files(job["files"])
        for i in range(len(job["files"])):
            project.contents.file[i].contents.transform.rotation = 90 * job["quarters"] * math.pi / 180
        drawn = [draw(project, job["dpi"], w) for w in job["windows"]]
        if said:
            raise RuntimeError("the viewer could not draw %s: %s" % (job["files"], said))
        return {"words": [d[0] for d in drawn]}, [d[1] for d in drawn]
    except RuntimeError as e:
        loaded.drop()
        return {"error": str(e)}, []


for line in sys.stdin:
    said.clear()
    head, pictures = answer(json.loads(line))
    out = sys.stdout.buffer
    out.write(json.dumps(head).encode() + b"\n")
    for p in pictures:
        out.write(p)
    out.flush()
