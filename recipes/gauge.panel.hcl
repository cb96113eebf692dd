# Twelve river-gauge boards on a panel with perforated tabs, between rails above and below.
panel "gauge-12up" {
  revision = "C"
  built_to = ["standards/hand-break.standard.hcl"]
}

given "columns" {
  value = 4
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

stage "array" {
  board   = "gauge"
  columns = given.columns
  rows    = 3
  gap     = let.gap
}

stage "rails" {
  sides = ["upper", "lower"] # along the long edges, where the conveyor carries
  gap   = let.gap
}

stage "tooling_holes" {}

stage "fiducials" {}

stage "support" {} # on the conveyor, by the rails above and below: whether the panel holds is reckoned with that

stage "breakoff_tabs" {
  longest_free_span = "62 mm" # the outer columns' outer edges, 41 mm, are the panel's own and get no tab
}

stage "bad_board_marks" {} # one for each copy, on a rail

stage "thieving" {} # last of all that shapes the panel: it keeps off the rest

stage "rules" {}

stage "write_fab" {}

stage "write_assembly" {}

stage "write_drawing" {
  title    = "River gauge, panel of twelve"
  notes    = ["Store panels flat and dry; bake before soldering where they have been open for long."]
  material = "glass-fibre epoxy laminate, FR-4"
}

stage "write_report" {}
