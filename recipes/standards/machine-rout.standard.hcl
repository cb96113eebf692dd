# Boards that a router cuts out of the panel: tabs without perforation, narrow, where the cutter gets at them.
# Beside each value stands where it comes from.

built_to = ["shop.standard.hcl"]

standard "array" {
  gap = "2 mm" # the slot that the cutter goes along; fabricators' standard (eurocircuits.de, customer-panel guidelines; wedirekt.co.uk, routing and scoring)
}

standard "rails" {
  gap           = "2 mm" # the same
  corner_radius = "2 mm" # from memory, no published source: 2 to 5 mm
}

standard "breakoff_tabs" {
  perforate         = "none"
  tab_width         = "1 mm"   # an assembler's page (pcbcart.com, panel requirements): 1.0 mm without perforation
  cutters           = ["2 mm"] # a fabricator's page (multi-circuit-boards.eu, milling): 2.0 mm and more are standard, 0.8 special
  longest_free_span = "60 mm"  # a fabricator's guide (jlcpcb.com, panelization guide): a tab each 50 to 60 mm
  longest_overhang  = "30 mm"  # half of that; from memory, no published source
  from_corner       = "5 mm"   # from memory, no published source: 3 to 5 mm
}

standard "write_fab" {
  cutting = "climb" # from memory, no published source
  # Feeds from memory, no published source: 1.6 mm 0.8 to 1.2, 2.4 mm 1.0 to 1.8 m/min.
  feed {
    cutter        = "1.6 mm"
    mm_per_minute = 1000
  }
  feed {
    cutter        = "2.4 mm"
    mm_per_minute = 1400
  }
}

standard "rules" {
  # The router that parts the boards cuts as the fabricator's does: its tolerance, ± 0.10 mm on panels to 200 mm
  # and ± 0.15 mm to 300 mm (pcbbaltic.lt, tolerances), lies within these distances.
  limit "copper-to-edge" {
    at_least = "0.25 mm"
    source   = "fabricators' pages, outer layers (eurocircuits.de, customer-panel guidelines; wedirekt.co.uk)"
  }
  limit "inner-copper-to-edge" {
    at_least = "0.4 mm"
    source   = "a fabricator's page, inner layers (eurocircuits.de, customer-panel guidelines)"
  }
  limit "cutter-diameter" {
    at_least = "2 mm"
    source   = "a fabricator's page (multi-circuit-boards.eu, milling): thinner cutters are special"
  }
  limit "part-near-break" {
    at_least = "3.2 mm"
    source   = "parts to tabs: a page of advice (qeeebo.com)"
  }
}
