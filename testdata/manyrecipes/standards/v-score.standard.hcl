# Boards that are parted along V-score lines.
built_to = ["shop.standard.hcl"]

standard "array" {
  gap = 0
}

standard "rails" {
  gap   = 0
  width = "10 mm" # fiducials stay clear of the lines
}

standard "score_lines" {
  included_angle         = "30 deg"
  blade_offset_tolerance = "0.1 mm"
  position_tolerance     = "0.15 mm"
  section {
    up_to         = "2 mm"
    remaining_web = "0.3 mm"
    web_tolerance = "0.1 mm"
  }
}

standard "rules" {
  limit "copper-to-score" { at_least = "0.5 mm" }
}
