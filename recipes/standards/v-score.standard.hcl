# Boards that are parted along V-score lines.
# Beside each value stands where it comes from.

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

standard "bad_board_marks" {
  diameter        = "2 mm" # from memory, no published source: cameras look for 1 to 3 mm
  mask_diameter   = "3 mm" # from memory, no published source: bare round the dot, as round a fiducial
  from_panel_edge = "3 mm" # conveyors hold 3.0 mm (boardor.com)
}

standard "thieving" {
  dot_diameter    = "1.5 mm" # from memory, no published source
  dot_pitch       = "2 mm"   # the same
  line_width      = "0.5 mm" # the same
  line_pitch      = "2 mm"   # the same
  from_board      = "1 mm"   # the same
  from_break      = "0.5 mm" # more than 0.40 mm to a routed edge on inner layers and 0.45 mm to a score line (eurocircuits.de, customer-panel guidelines)
  from_panel_edge = "0.5 mm" # the same
}

standard "rules" {
  # Bad copies (X-out); stated in the papers with or without bad-board marks.
  x_out_percent = 10 # a fabricator's page (lhd-pcb.com); another's says less than 10 % (explus.com.tw)
  x_out {
    copies  = 4
    at_most = 0
    source  = "a fabricator's page (lhd-pcb.com)"
  }
  x_out {
    copies  = 10
    at_most = 1
    source  = "a fabricator's page (lhd-pcb.com)"
  }
  x_out {
    copies  = 20
    at_most = 2
    source  = "a fabricator's page (lhd-pcb.com)"
  }
  x_out {
    copies  = 30
    at_most = 3
    source  = "a fabricator's page (lhd-pcb.com)"
  }

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
  limit "rail-width" {
    at_least = "5 mm"
    source   = "an assembler's advice (boardor.com): 3 mm are held, 5 mm advised"
  }
  # The sizes that fabricators prefer, with the border for boards with inner layers; 0.5 in do without them
  # (Design007, June 2021, pages 84 and 85). Between: a cutter of 2 mm and some, from memory, no published source.
  production_panel "12x18" {
    width   = "12 in"
    height  = "18 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
  production_panel "18x24" {
    width   = "18 in"
    height  = "24 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
  production_panel "21x24" {
    width   = "21 in"
    height  = "24 in"
    border  = "0.75 in"
    between = "2.5 mm"
  }
}
