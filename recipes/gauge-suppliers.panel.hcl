# Six river-gauge boards for three suppliers, one build each: slots are as wide as the supplier routs them, and the
# panel is judged by the supplier's limits before the shop's own.
panel "gauge-6up" {
  revision = "A"
  built_to = ["standards/hand-break.standard.hcl"]
}

supplier "headwater" {
  built_to = ["standards/suppliers/headwater.standard.hcl"]
}

supplier "millrace" {
  built_to = ["standards/suppliers/millrace.standard.hcl"]
}

supplier "estuary" {
  built_to = ["standards/suppliers/estuary.standard.hcl"]
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
  columns = 2
  rows    = 3
}

stage "rails" {
  sides = ["upper", "lower"]
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
  title = "River gauge, panel of six"
  sheet = "A3"
}

stage "write_report" {}
