# Modem boards, abutted, parted along V-score lines.
panel "modem-24up" {
  revision = "B"
  built_to = ["standards/v-score.standard.hcl"]
}

stage "board" {
  name        = "modem"
  files       = "../testdata/boards/modem"
  part_number = "RG-2077"
  revision    = "B"
  thickness   = "1.6 mm"
}

stage "array" {
  board   = "modem"
  columns = 6
  rows    = 4
}

stage "rails" {
  sides = ["upper", "lower"]
}

stage "tooling_holes" {}

stage "fiducials" {}

stage "score_lines" {}

stage "bad_board_marks" {}

stage "thieving" {
  pattern = "crossed_lines"
}

stage "rules" {}

stage "write_fab" {}

stage "write_assembly" {}

stage "write_report" {}
