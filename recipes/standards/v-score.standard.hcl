# Boards that are parted along V-score lines.
# Beside each value stands where it comes from.

built_to = ["shop.standard.hcl"]

standard "array" {
  gap = 0 # abutted boards share one line: common practice, no published source
}

standard "rails" {
  gap = 0 # the line runs between board and rail: common practice, no published source
}

standard "score_lines" {
  included_angle         = "30 deg"  # the whole angle (wedirekt.co.uk, routing and scoring); some suppliers name half of it: ask
  blade_offset_tolerance = "0.1 mm"  # from memory, no published source: 0.075 to 0.10 mm
  position_tolerance     = "0.15 mm" # a fabricator's line tolerance (multi-circuit-boards.eu, v-scoring)
  least_strip            = "5 mm"    # least distance of two lines (eurocircuits.de, customer-panel guidelines)
  section {
    up_to         = "2 mm"
    remaining_web = "0.3 mm"
    web_tolerance = "0.1 mm"
    source        = "a fabricator's table (wedirekt.co.uk, routing and scoring)"
  }
  section {
    up_to         = "10 mm"
    remaining_web = "0.4 mm"
    web_tolerance = "0.1 mm"
    source        = "a fabricator's table (wedirekt.co.uk, routing and scoring)"
  }
}

standard "rules" {
  # A fabricator's table by thickness (wedirekt.co.uk, routing and scoring); 1.2 mm stands in none of its rows.
  limit "copper-to-score" {
    by_thickness {
      up_to    = "1 mm"
      at_least = "0.4 mm"
    }
    by_thickness {
      up_to    = "1.6 mm"
      at_least = "0.5 mm"
    }
    by_thickness {
      up_to    = "2 mm"
      at_least = "0.6 mm"
    }
    by_thickness {
      up_to    = "2.4 mm"
      at_least = "0.7 mm"
    }
    source = "a fabricator's table by thickness (wedirekt.co.uk, routing and scoring)"
  }
}
