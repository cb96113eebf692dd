package board_test

// surveyed is what TestSurvey is to print.
const surveyed = `file               what for                said by                      unit  digits       content    written by
README.md          ignored
gauge-bottom.gbr   copper-2-bottom         its attribute .FileFunction  mm    4.4          1 object
gauge-profile.gbr  profile                 its attribute .FileFunction  mm    4.4          4 objects
gauge-top.gbr      copper-1-top            its attribute .FileFunction  mm    4.4          1 object
gauge.drl          drill plated-1-2        assumed                      mm    with points  1 hole
power.gbr          not settled, see below                               mm    4.4          1 object

ignored
  README.md: a text for people to read

outline
  20 × 10 mm, lower left corner at (0, 0)
  4 edges, 0 arcs among them; 0 cut-outs; area 200 mm²
  from gauge-profile.gbr: 4 strokes, the widest 0.1 mm (their middle is the edge); they meet exactly

edge classes
  plain all round: no castellations, plated edges or contact fingers were found

copper
  2 layers
  layer 1, top: gauge-top.gbr
  layer 2, bottom: gauge-bottom.gbr

  in mm, at (x, y); tracks and spacings within 5 mm of the edge
  layer            nearest to the edge  smallest track  smallest spacing
  copper-1-top     4.95 at (4.95, 5)    none found      none found
  copper-2-bottom  4.95 at (4.95, 5)    none found      none found

drill files
  plated-1-2: 1 hole, all 0.5 mm (from gauge.drl)
    1 of 1 hole taken for plated lie on pads of copper-1-top and copper-2-bottom, 1 of 1 lie within the outline

what the files say of the board
  project: gauge
  revision: C
  project gauge, revision C: the attribute .ProjectId of gauge-bottom.gbr, gauge-profile.gbr and gauge-top.gbr

not there
  mask-top
  mask-bottom
  paste-top
  paste-bottom
  legend-top
  legend-bottom
  placement
  netlist

findings
  warning, plating-assumed: gauge.drl is taken for plated: nobody says whether its holes are plated; a block drill "gauge.drl" in the recipe can say it, with
      plating = "plated"

what keeps these files from being a board
  power.gbr: nobody says what this layer is for: it has no attribute .FileFunction, and its name follows no known convention
      say it in the recipe, in the board stage:
        layer "power.gbr" {
          function = "…"
        }
      where the function is "copper-1-top", "copper-2-inner", "copper-4-bottom", "mask-top", "paste-top", "legend-top", "glue-top", "carbonmask-top",
          "peelablemask-top" (or -bottom), "profile" or "ignore"

a recipe would say
  stage "board" {
    name     = "gauge"
    files    = "data"
    revision = "C"

    # not taken yet: copper-2-inner, copper-3-inner, mask-top, mask-bottom, paste-top, paste-bottom, legend-top, legend-bottom, ignore
    layer "power.gbr" {
      function = "…"
    }

    drill "gauge.drl" {
      plating = "plated"
    }
  }
`
