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

stage "support" {}

stage "score_lines" {}

stage "bad_board_marks" {}

stage "thieving" {
  pattern = "crossed_lines"
}

stage "rules" {}

stage "write_fab" {}

stage "write_assembly" {}

stage "write_drawing" {
  title        = "Telemetry modem, panel of twenty-four"
  state        = "released"
  change_order = "CO-0217"
  creator      = "Hydrometry, layout"
  approver     = "Head of hydrometry"
  date         = "2026-09-01"
  change "A" {
    order = "CO-0198"
    what  = "first issue"
    date  = "2026-05-11"
  }
  change "B" {
    what = "rails 8 mm wide; thieving of crossed lines"
  }
}

stage "write_report" {}
