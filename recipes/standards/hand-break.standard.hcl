# Boards that people break out of the panel by hand along perforated tabs.
# Beside each value stands where it comes from.

built_to = ["shop.standard.hcl"]

standard "rails" {
  gap           = "2 mm" # the slot; fabricators' minimum and standard (eurocircuits.de, customer-panel guidelines)
  corner_radius = "2 mm" # from memory, no published source: 2 to 5 mm
}

standard "breakoff_tabs" {
  hole_diameter     = "0.5 mm" # common practice, no published source
  between_holes     = "0.3 mm" # common practice, no published source
  holes_per_tab     = 5        # common practice, no published source: 3 to 5, even 6
  longest_free_span = "60 mm"  # a fabricator's guide (jlcpcb.com, panelization guide): a tab each 50 to 60 mm
  longest_overhang  = "30 mm"  # half of that; from memory, no published source
  from_corner       = "5 mm"   # from memory, no published source: 3 to 5 mm
}

standard "write_fab" {
  cutting = "climb" # from memory, no published source
  # Feeds from memory, no published source: 0.8 mm 0.3 to 0.7, 1.6 mm 0.8 to 1.2, 2.4 mm 1.0 to 1.8 m/min.
  feed {
    cutter        = "0.8 mm"
    mm_per_minute = 500
  }
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
  limit "copper-to-edge" {
    at_least = "0.25 mm"
    source   = "fabricators' pages, outer layers (eurocircuits.de, customer-panel guidelines; wedirekt.co.uk)"
  }
  limit "copper-to-perforation" {
    at_least = "0.25 mm"
    source   = "as to a routed edge: common practice, no published source"
  }
}
