# Six round water probes in a frame of four rails: slots follow each disc, tabs stand on its curve.
panel "probe-6up" {
  revision = "A"
  built_to = ["standards/hand-break.standard.hcl"]
}

let {
  gap = mm(2)
}

stage "board" {
  name        = "probe"
  files       = "../testdata/boards/probe"
  part_number = "RG-3010"
  revision    = "A"
  thickness   = "1.6 mm"
}

stage "array" {
  board   = "probe"
  columns = 3
  rows    = 2
  gap     = let.gap
}

stage "rails" {
  sides = ["upper", "lower", "left", "right"] # a round board takes its tabs where the frame is
  gap   = let.gap
}

stage "tooling_holes" {}

stage "fiducials" {}

stage "support" {}

stage "breakoff_tabs" {
  cutters           = ["2 mm", "1 mm"] # the thin one for what the thick one leaves between discs
  longest_free_span = "36 mm"          # three tabs a disc at least: on two it could swing
}

stage "bad_board_marks" {} # round what is in the way, on more than one rail

stage "thieving" {}

stage "rules" {}

stage "write_fab" {}

stage "write_assembly" {}

stage "write_drawing" {
  title = "Water probe, panel of six"
  units = "inch"
}

stage "write_report" {}
