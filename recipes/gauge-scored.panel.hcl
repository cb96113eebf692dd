# Nine river-gauge boards parted in two ways: along V-score lines between the rows, along slots and perforated
# tabs between the columns. Rounded corners get a relief where lines run past them.
panel "gauge-9up" {
  revision = "A"
  built_to = ["standards/hand-break.standard.hcl"]
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
  columns = 3
  rows    = 3
  gap_x   = mm(2)
  gap_y   = 0 # rows share a line
}

stage "rails" {
  sides = ["upper", "lower", "left", "right"]
  gap_x = mm(2)
  gap_y = 0
}

stage "tooling_holes" {}

stage "fiducials" {
  inward_x = "20 mm" # clear of the slots, which run on into the rails beside the corners of the boards
}

stage "support" {}

stage "score_lines" {
  between = ["rows", "upper_and_lower_rails"]
}

stage "breakoff_tabs" {
  between = ["columns", "left_and_right_rails"]
  placing = "even" # the lines hold the boards; a tab in each slot keeps them from fluttering while they are routed
  cutters = ["2 mm", "1.6 mm"]
}

stage "legend" {
  words         = ["product", "part_number", "revision"]
  letter_height = "2 mm"
  arrow         = "right"
  code {
    module = "0.4 mm"
  }
}

stage "rules" {}

stage "write_fab" {}

stage "write_assembly" {}

stage "write_drawing" {
  title = "River gauge, panel of nine"
  units = "both"
}

stage "write_report" {}
