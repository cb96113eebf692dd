# The boards of one measuring station as a set: four gauges and six modems on one panel.
panel "station-set" {
  revision = "A"
  built_to = ["standards/hand-break.standard.hcl"]
}

let {
  gap = mm(2)
}

stage "board" {
  name        = "gauge"
  files       = "../testdata/boards/gauge"
  part_number = "RG-1042"
  revision    = "C"
  thickness   = "1.6 mm"
}

stage "board" {
  name        = "modem"
  files       = "../testdata/boards/modem"
  part_number = "RG-2077"
  revision    = "B"
  thickness   = "1.6 mm"
}

stage "array" {
  name    = "gauges"
  board   = "gauge"
  columns = 2
  rows    = 2
  gap     = let.gap
}

stage "array" {
  name       = "modems"
  board      = "modem"
  columns    = 2
  rows       = 3
  gap_x      = let.gap
  gap_y      = (arrays.gauges.height - 3 * boards.modem.height) / 2 # as high as the gauges beside them
  beside     = "right"
  beside_gap = let.gap
}

stage "rails" {
  sides = ["upper", "lower"]
  gap   = let.gap
}

stage "tooling_holes" {}

stage "fiducials" {}

stage "support" {}

stage "breakoff_tabs" {
  longest_free_span = "62 mm" # the outer columns' outer edges, 41 mm, are the panel's own and get no tab
}

stage "rules" {}

stage "write_fab" {}

stage "write_assembly" {}

stage "write_drawing" {
  title = "Measuring station, set of boards"
}

stage "write_report" {}
