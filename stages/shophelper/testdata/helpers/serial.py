#!/usr/bin/env python3
"""Prints a serial number for each copy on the upper rail, and notes when they run out.

The recipe says where the numbers begin (setting "first"), how many there are in all (setting "last"), and in which
letters they are written (setting "letter_height"). prefixes.csv has the prefix of every board.
"""
import csv
import json
import sys

asked = json.load(sys.stdin)
if asked["contract"] != 1:
    sys.exit("this helper is written for contract 1, and is asked by contract %s" % asked["contract"])
panel, settings = asked["panel"], asked["settings"]
with open("prefixes.csv", newline="") as table:
    prefixes = {row["board"]: row["prefix"] for row in csv.DictReader(table)}

rail = next((r for r in panel["rails"] if r["id"] == "rail/upper"), None)
if rail is None:
    sys.exit("the panel has no upper rail to print serial numbers on")
(left, low), (_, high) = rail["box_mm"]
height = settings["letter_height"]

number = settings["first"]
letters = []
for copy in panel["copies"]:
    text = "%s%05d" % (prefixes[copy["board"]], number)
    (from_x, _), (to_x, _) = copy["box_mm"]
    letters.append((copy["id"], text, (from_x + to_x) / 2))
    number += 1

prints, column = [], {}
for copy, text, x in letters:
    row = column.get(x, 0)  # copies above one another share a place along the rail
    column[x] = row + 1
    prints.append({
        "id": "number/" + copy,
        "use": "lettering",
        "layers": ["legend-top"],
        "letters": [{"text": text, "at_mm": [x, low + 1 + row * 1.7 * height], "letter_height_mm": height,
                     "stroke_width_mm": height / 8, "align": "centre"}],
    })

findings = []
if number - 1 > settings["last"]:
    findings.append({
        "rule": "serial-used-up", "severity": "warning",
        "message": "%d numbers are needed and the block ends with %d: ask for a new block" % (len(letters), settings["last"]),
        "copies": [copy for copy, _, _ in letters], "feature": "rail/upper",
        "measured": number - 1, "limit": settings["last"],
    })

json.dump({"contract": 1, "additions": {"prints": prints}, "findings": findings,
           "log": ["numbers %d to %d" % (settings["first"], number - 1)], "values": {"next": number}}, sys.stdout)
