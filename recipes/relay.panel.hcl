# Four L-shaped relay boards in a frame of four rails: the waste in each notch stays with the frame or goes,
# as its size says.
panel "relay-4up" {
  revision = "D"
  built_to = ["standards/hand-break.standard.hcl"]
}

let {
  gap = mm(2)
}

stage "board" {
  name        = "relay"
  files       = "../testdata/boards/relay"
  part_number = "RG-4005"
  revision    = "D"
  thickness   = "1.6 mm"
}

stage "array" {
  board   = "relay"
  columns = 2
  rows    = 2
  gap     = let.gap
}

stage "rails" {
  sides = ["upper", "lower", "left", "right"]
  gap   = let.gap
}

stage "tooling_holes" {}

stage "fiducials" {}

stage "support" {}

stage "breakoff_tabs" {
  cutters = ["2 mm", "1 mm"] # the thin one for the notch's inner corner
}

stage "thieving" {} # on the frame, and on the waste that stays in the notches

stage "rules" {}

stage "write_fab" {}

stage "write_assembly" {}

stage "write_drawing" {
  title = "Alarm relay, panel of four"
  sheet = "ANSI B"
}

stage "write_report" {}
